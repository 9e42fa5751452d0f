"""A record file: created once, appended to while the session runs, never rewritten.

Each append is one write with all entries of one key press, ends with a line that marks it as whole, and is flushed to
the disk before it returns. A torn end is cut at the last whole append and moved to a file of its own. An append that
failed is taken back, so that the next one follows what was confirmed. Where another program has changed the file in
the meantime, what was confirmed is written again first, and what was found is moved to a file of its own.
"""

import os
import re
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from coach.model.programme.session_file import FileEntry, SessionFile
from coach.model.record import Record
from coach.store.guards.torn_ends import unmarked_faults
from coach.store.records.known_tables import keep_tables, read_with_known
from coach.store.records.record_marks import LOST, Damage, mark_of, whole_part, with_sound_mark
from coach.system import open_bytes
from coach.toml.atomic_write import replace_bytes, unused_path, write_flushed
from coach.toml.diagnostic import FileFault
from coach.toml.reader import decode_text, is_year, parse_model, read_bytes
from coach.toml.writer import dump, dump_item, values_to_write

REPLACED = ".replaced"
_NAME_FORMAT = "%Y-%m-%dT%H%M%S"
_NAME_LENGTH = 17
_FORMAT = re.compile(r"^format *= *(\d+) *\r?$", re.MULTILINE)
_OWN_NAME = re.compile(r"\d{4}-\d\d-\d\dT\d{6}(-\d+)?\.toml")


class RawRecord(Struct, frozen=True):
    """The whole part of a record's file as bytes; `torn_end` is the file that a torn end was moved to.

    `damage` says whether it is as it was written, as far as its marks have a hash.
    """

    path: Path
    content: bytes
    torn_end: Path | None = None
    damage: Damage = ""


class StoredRecord(Struct, frozen=True):
    """A record and its file; `torn_end` as in `RawRecord`."""

    path: Path
    record: Record
    torn_end: Path | None = None


class StoredSession(Struct, frozen=True):
    """What the file of one session holds: a record, or of a programme one for each exercise."""

    path: Path
    session: Record | SessionFile
    torn_end: Path | None = None

    @property
    def records(self) -> tuple[StoredRecord, ...]:
        """The record of each exercise that was begun."""
        records = self.session.records if isinstance(self.session, SessionFile) else (self.session,)
        return tuple(StoredRecord(self.path, record, self.torn_end) for record in records)


def is_own_name(path: Path) -> bool:
    """Whether the file name is one that `create` gives, and not that of a person or of another program."""
    return _OWN_NAME.fullmatch(path.name) is not None


def create(folder: Path, record: Record | SessionFile) -> Path:
    """Write a new file with all of a session but its entries, and return its path. Raises OSError and FileFault."""
    path = unused_path(folder / name_of(record.started))
    replace_bytes(path, _marked(_head(record, path).encode()))
    return path


def append(path: Path, entries: tuple[FileEntry, ...]) -> None:
    """Add the entries of one key press; they are on the disk when this returns. Raises OSError and FileFault."""
    RecordAppender(path).append(entries)


class RecordAppender:
    """Appends to one record that no other process writes to.

    An append that failed is taken back, at the latest before the next one. `replaced` are the files that other
    versions of the record were moved to.
    """

    def __init__(self, path: Path, confirmed: bytes | None = None) -> None:
        self.path = path
        self.replaced: tuple[Path, ...] = ()
        self._confirmed = confirmed  # None: as the file is at the first append
        self._failed = False

    def append(self, entries: tuple[FileEntry, ...]) -> None:
        """Add the entries of one key press; they are on the disk when this returns. Raises OSError and FileFault."""
        if not entries:
            return
        before = self.restore()
        new = _entries(entries, self.path).encode()
        whole = before + new + mark_of(before + new)
        self._failed = True
        try:
            write_flushed(open_bytes(self.path, os.O_WRONLY | os.O_APPEND), whole[len(before) :])
        except OSError:
            with suppress(OSError):
                self._take_back(before)
            raise
        self._confirmed, self._failed = whole, False

    def restore(self) -> bytes:
        """Make the file hold what was confirmed, no more and no less, and return that. Raises OSError."""
        if self._confirmed is None:
            self._confirmed = self.path.read_bytes()
        if self._failed:
            self._take_back(self._confirmed)
        found = self.path.read_bytes() if self.path.exists() else b""
        if found != self._confirmed:
            self._put_back(found, self._confirmed)
        return self._confirmed

    def _take_back(self, confirmed: bytes) -> None:
        """Cut off what an append that failed has left; anything else is for `_put_back`."""
        if self.path.exists() and self.path.read_bytes().startswith(confirmed):
            os.truncate(self.path, len(confirmed))
        self._failed = False

    def _put_back(self, found: bytes, confirmed: bytes) -> None:
        """Write what was confirmed in the place of another version, which is kept unless it is the start of this one.

        Raises OSError, also where the folder has gone: a new one would be another than that of the client.
        """
        if not confirmed.startswith(found):
            aside = unused_path(self.path.with_suffix(REPLACED))
            replace_bytes(aside, found)
            self.replaced = (*self.replaced, aside)
        replace_bytes(self.path, confirmed)


def as_text(record: Record | SessionFile) -> str:
    """The file of a record whose entries were all added in one append."""
    path = Path(name_of(record.started))
    return _marked(_marked(_head(record, path).encode()) + _entries(record.entry, path).encode()).decode()


def read(path: Path, repair: bool = False) -> StoredRecord:
    """A record; of one with a torn end, what is whole. `repair` as in `read_raw`. Raises FileFault."""
    return parse(read_raw(path, repair))


def read_raw(path: Path, repair: bool = False) -> RawRecord:
    """The whole part of a record's file. Raises FileFault where the file cannot be read.

    With `repair` a torn end is moved to a new file with the ending .torn; otherwise nothing is written.
    """
    content = read_bytes(path)
    part = whole_part(content)
    if part is None or part.end == len(content):
        damage = part.damage if part is not None else ""
        return RawRecord(path, with_sound_mark(content) if damage == "mark" else content, damage=damage)
    whole = RawRecord(path, content[: part.end], damage=part.damage)
    if not repair or part.damage in LOST:
        return whole
    parse(whole)  # a file that is no record stays as it is
    torn_end = unused_path(path.with_suffix(".torn"))
    replace_bytes(torn_end, content[part.end :])
    replace_bytes(path, content[: part.end])
    return replace(whole, torn_end=torn_end)


def parse(raw: RawRecord) -> StoredRecord:
    """Parse a record; of a programme that of the exercise begun last. Raises FileFault where it is none."""
    return parse_session(raw).records[-1]


def parse_session(raw: RawRecord) -> StoredSession:
    """Parse the file of a session. Raises FileFault where it is none."""
    try:
        text = decode_text(raw.content, raw.path)
        model: type[SessionFile] | type[Record] = SessionFile if is_of_programme(text) else Record
        found = read_with_known(text, model)
        if found is None:
            found = parse_model(text, raw.path, model)
            keep_tables(text, model)
        return StoredSession(raw.path, found, raw.torn_end)
    except FileFault as fault:
        if is_own_name(raw.path) and whole_part(raw.content) is None:
            raise FileFault(unmarked_faults(raw.path, raw.content, fault.faults)) from None
        raise


def is_of_programme(text: str) -> bool:
    """Whether a text says that it is of format 2."""
    found = _FORMAT.search(text)
    return found is not None and found[1] == "2"


def name_of(started: datetime) -> str:
    """The file name of a record: the local time of its start."""
    return f"{started.strftime(_NAME_FORMAT)}.toml"


def start_from_name(path: Path) -> datetime | None:
    """The local time of a record's start as its file name gives it; None where the name is none of ours."""
    try:
        start = datetime.fromisoformat(path.stem[:_NAME_LENGTH]).replace(tzinfo=None)
    except ValueError:
        return None
    return start if is_year(start.year) else None


def _head(record: Record | SessionFile, path: Path) -> str:
    return dump(values_to_write(record, path, exclude=("entry", "part")))


def _entries(entries: tuple[FileEntry, ...], path: Path) -> str:
    return "".join("\n" + dump_item("entry", values_to_write(entry, path)) for entry in entries)


def _marked(content: bytes) -> bytes:
    return content + mark_of(content)

"""A record file: created once, appended to while the session runs, never rewritten.

Each append is one write with all entries of one key press, ends with a line that marks it as whole, and is flushed to
the disk before it returns. A torn end is cut at the last whole append and moved to a file of its own. An append that
failed is taken back, so that the next one follows what was confirmed.
"""

import os
import re
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from coach.model.record import Entry, Record
from coach.toml.atomic_write import replace_bytes, unused_path, write_flushed
from coach.toml.reader import decode_text, parse_model, read_bytes
from coach.toml.writer import dump, dump_item

WHOLE = b"# whole\n"
_NAME_FORMAT = "%Y-%m-%dT%H%M%S"
_NAME_LENGTH = 17
_OWN_NAME = re.compile(r"\d{4}-\d\d-\d\dT\d{6}(-\d+)?\.toml")


@dataclass(frozen=True)
class RawRecord:
    """The whole part of a record's file as bytes; `torn_end` is the file that a torn end was moved to."""

    path: Path
    content: bytes
    torn_end: Path | None = None


@dataclass(frozen=True)
class StoredRecord:
    """A record and its file; `torn_end` as in `RawRecord`."""

    path: Path
    record: Record
    torn_end: Path | None = None


def is_own_name(path: Path) -> bool:
    """Whether the file name is one that `create` gives, and not that of a person or of another program."""
    return _OWN_NAME.fullmatch(path.name) is not None


def create(folder: Path, record: Record) -> Path:
    """Write a new file with all of a record but its entries, and return its path. Raises OSError."""
    path = unused_path(folder / name_of(record.started))
    replace_bytes(path, _head(record).encode() + WHOLE)
    return path


def append(path: Path, entries: tuple[Entry, ...]) -> None:
    """Add the entries of one key press; they are on the disk when this returns. Raises OSError."""
    RecordAppender(path).append(entries)


class RecordAppender:
    """Appends to one record. An append that failed is taken back, at the latest before the next one."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._confirmed: int | None = None  # bytes; only known after an append that failed

    def append(self, entries: tuple[Entry, ...]) -> None:
        """Add the entries of one key press; they are on the disk when this returns. Raises OSError."""
        if not entries:
            return
        self._take_back()
        before = self.path.stat().st_size
        try:
            write_flushed(os.open(self.path, os.O_WRONLY | os.O_APPEND), _entries(entries).encode() + WHOLE)
        except OSError:
            self._confirmed = before
            with suppress(OSError):
                self._take_back()
            raise

    def _take_back(self) -> None:
        if self._confirmed is not None:
            os.truncate(self.path, self._confirmed)
            self._confirmed = None


def as_text(record: Record) -> str:
    """The file of a record whose entries were all added in one append."""
    return f"{_head(record)}{WHOLE.decode()}{_entries(record.entry)}{WHOLE.decode()}"


def read(path: Path, repair: bool = False) -> StoredRecord:
    """A record; of one with a torn end, what is whole. `repair` as in `read_raw`. Raises FileFault."""
    return parse(read_raw(path, repair))


def read_raw(path: Path, repair: bool = False) -> RawRecord:
    """The whole part of a record's file. Raises FileFault where the file cannot be read.

    With `repair` a torn end is moved to a new file with the ending .torn; otherwise nothing is written.
    """
    content = read_bytes(path)
    if _is_whole(content) or WHOLE not in content:
        return RawRecord(path, content)
    end = content.rindex(WHOLE) + len(WHOLE)
    whole = RawRecord(path, content[:end])
    if not repair:
        return whole
    parse(whole)  # a file that is no record stays as it is
    torn_end = unused_path(path.with_suffix(".torn"))
    replace_bytes(torn_end, content[end:])
    replace_bytes(path, content[:end])
    return replace(whole, torn_end=torn_end)


def parse(raw: RawRecord) -> StoredRecord:
    """Parse a record. Raises FileFault where it is none."""
    record = parse_model(decode_text(raw.content, raw.path), raw.path, Record)
    return StoredRecord(raw.path, record, raw.torn_end)


def name_of(started: datetime) -> str:
    """The file name of a record: the local time of its start."""
    return f"{started.strftime(_NAME_FORMAT)}.toml"


def start_from_name(path: Path) -> datetime | None:
    """The local time of a record's start as its file name gives it; None where the name is none of ours."""
    try:
        return datetime.fromisoformat(path.stem[:_NAME_LENGTH]).replace(tzinfo=None)
    except ValueError:
        return None


def _head(record: Record) -> str:
    return dump(record.model_dump(exclude={"entry"}, exclude_none=True))


def _entries(entries: tuple[Entry, ...]) -> str:
    return "".join("\n" + dump_item("entry", entry.model_dump(exclude_none=True)) for entry in entries)


def _is_whole(content: bytes) -> bool:
    """Whether it ends with the mark; an editor may have removed the last line end, or added empty lines."""
    return content.rstrip().endswith(WHOLE.rstrip())

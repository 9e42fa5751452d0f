"""One record, one file: opened once, appended to while the session runs, never rewritten.

Each append ends with a line that marks it whole, is one write, and is on the disk before it returns. All
entries of one key press stand in one append: a torn tail is cut at the last whole one, kept aside, and said.
An append that failed leaves nothing behind, so that the next one stands on what was confirmed.
"""

import os
import re
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import tomli_w

from coach.model.record import Entry, Record
from coach.toml.atomic_write import free, replace_bytes, write_flushed
from coach.toml.reader import decoded, parse_model, read_bytes

WHOLE = b"# whole\n"
_STAMP = "%Y-%m-%dT%H%M%S"
_STAMP_LETTERS = 17
_OWN_NAME = re.compile(r"\d{4}-\d\d-\d\dT\d{6}(-\d+)?\.toml")


@dataclass(frozen=True)
class Found:
    """The whole part of a record's file; `aside` is where a torn tail was put, if there was one."""

    path: Path
    content: bytes
    aside: Path | None = None


@dataclass(frozen=True)
class Kept:
    """A record as it was read; `aside` as for what was found."""

    path: Path
    record: Record
    aside: Path | None = None


def is_own_name(path: Path) -> bool:
    """Whether a record bears a name that `create` gives: not one that a person or another program gave it."""
    return _OWN_NAME.fullmatch(path.name) is not None


def create(folder: Path, record: Record) -> Path:
    """Write the head of a new record, whole or not at all; the path is new. OSError if it cannot be."""
    path = free(folder / name_of(record.started))
    replace_bytes(path, _head(record).encode() + WHOLE)
    return path


def append(path: Path, entries: tuple[Entry, ...]) -> None:
    """Add the entries of one key press, on the disk before this returns. OSError if it cannot be."""
    Growing(path).append(entries)


class Growing:
    """A record that is appended to. An append that failed is taken back, at the latest before the next one."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._confirmed: int | None = None  # bytes; only known after an append that failed

    def append(self, entries: tuple[Entry, ...]) -> None:
        """Add the entries of one key press, on the disk before this returns. OSError if it cannot be."""
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
    """A whole record as its file holds it after one append."""
    return f"{_head(record)}{WHOLE.decode()}{_entries(record.entry)}{WHOLE.decode()}"


def read(path: Path, mends: bool = True) -> Kept:
    """A record; where its end was torn off, what is whole of it. `mends` as for `find`. FileFault if unreadable."""
    return parse(find(path, mends))


def find(path: Path, mends: bool = True) -> Found:
    """The whole part of a record's file; a torn end is put aside, and the file mended. FileFault if unreadable.

    Without `mends` the file stays as it is, and nothing is written.
    """
    content = read_bytes(path)
    if _is_whole(content) or WHOLE not in content:
        return Found(path, content)
    end = content.rindex(WHOLE) + len(WHOLE)
    whole = Found(path, content[:end])
    if not mends:
        return whole
    parse(whole)  # a file that is no record is left as it is
    aside = free(path.with_suffix(".torn"))
    replace_bytes(aside, content[end:])
    replace_bytes(path, content[:end])
    return replace(whole, aside=aside)


def parse(found: Found) -> Kept:
    """What was found as a record. FileFault if it is none."""
    record = parse_model(decoded(found.content, found.path), found.path, Record)
    return Kept(found.path, record, found.aside)


def name_of(started: datetime) -> str:
    """The name of a record's file: when it began, by the clock on the wall."""
    return f"{started.strftime(_STAMP)}.toml"


def started_about(path: Path) -> datetime | None:
    """When a record began by its name, in the local time of that day; None where the name does not say."""
    try:
        return datetime.fromisoformat(path.stem[:_STAMP_LETTERS]).replace(tzinfo=None)
    except ValueError:
        return None


def _head(record: Record) -> str:
    return tomli_w.dumps(record.model_dump(exclude={"entry"}, exclude_none=True))


def _entries(entries: tuple[Entry, ...]) -> str:
    return "".join(f"\n[[entry]]\n{_in_toml(entry)}" for entry in entries)


def _in_toml(entry: Entry) -> str:
    """One entry as the lines below its [[entry]] heading."""
    values: dict[str, Any] = entry.model_dump(exclude_none=True)
    flat = {key: value for key, value in values.items() if not isinstance(value, dict)}
    nested = {key: value for key, value in values.items() if isinstance(value, dict)}
    tables = tomli_w.dumps({"entry": nested}) if nested else ""
    return tomli_w.dumps(flat) + tables.removeprefix("[entry]\n")


def _is_whole(content: bytes) -> bool:
    """Whether it ends with the mark; an editor may have taken the last line's end, or added empty lines."""
    return content.rstrip().endswith(WHOLE.rstrip())

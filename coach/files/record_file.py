"""One record, one file: opened once, appended to while the session runs, never rewritten.

Each append ends with a line that marks it whole, is one write, and is on the disk before it returns. All
entries of one key press stand in one append: a torn tail is cut at the last whole one, kept aside, and said.
"""

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomli_w

from coach.files.atomic import flush_folder, replace_file
from coach.files.toml import decoded, parse_model, read_bytes
from coach.model.record import Entry, Record

WHOLE = b"# whole\n"
_STAMP = "%Y-%m-%dT%H%M%S"


@dataclass(frozen=True)
class Kept:
    """A record as it was read; `aside` is where a torn tail was put, if there was one."""

    path: Path
    record: Record
    aside: Path | None = None


def create(folder: Path, record: Record) -> Path:
    """Write the head of a new record; the path is new, nothing is ever written over. OSError if it cannot be."""
    path = _free(folder / f"{record.started.strftime(_STAMP)}.toml")
    head = record.model_dump(exclude={"entry"}, exclude_none=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    _write(handle, tomli_w.dumps(head))
    flush_folder(folder)
    return path


def append(path: Path, entries: tuple[Entry, ...]) -> None:
    """Add the entries of one key press, on the disk before this returns. OSError if it cannot be."""
    if not entries:
        return
    text = "".join(f"\n[[entry]]\n{_in_toml(entry)}" for entry in entries)
    _write(os.open(path, os.O_WRONLY | os.O_APPEND), text)


def read(path: Path, mends: bool = True) -> Kept:
    """A record; where its end was torn off, what is whole of it, the rest kept aside. FileFault if unreadable.

    Without `mends` the file stays as it is, and nothing is written.
    """
    content = read_bytes(path)
    if content.endswith(WHOLE) or WHOLE not in content:
        return Kept(path, parse_model(decoded(content, path), path, Record))
    end = content.rindex(WHOLE) + len(WHOLE)
    record = parse_model(decoded(content[:end], path), path, Record)
    if not mends:
        return Kept(path, record)
    aside = _free(path.with_suffix(".torn"))
    replace_file(aside, content[end:].decode("utf-8", errors="backslashreplace"))
    replace_file(path, content[:end].decode("utf-8"))
    return Kept(path, record, aside)


def _in_toml(entry: Entry) -> str:
    """One entry as the lines below its [[entry]] heading."""
    values: dict[str, Any] = entry.model_dump(exclude_none=True)
    flat = {key: value for key, value in values.items() if not isinstance(value, dict)}
    nested = {key: value for key, value in values.items() if isinstance(value, dict)}
    tables = tomli_w.dumps({"entry": nested}) if nested else ""
    return tomli_w.dumps(flat) + tables.removeprefix("[entry]\n")


def _write(handle: int, text: str) -> None:
    """All of the text and its mark, then the flush; what is written short is written on, or is an error."""
    left = text.encode() + WHOLE
    try:
        while left:
            left = left[os.write(handle, left) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def _free(path: Path) -> Path:
    """The path, or the same with a number behind it where something stands there."""
    number, free = 2, path
    while free.exists():
        free = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return free

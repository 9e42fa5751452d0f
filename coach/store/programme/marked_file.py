"""Signed files that end with the mark of a record: a hash that shows whether they are as they were written.

A file without a mark is of an earlier version, or written by hand, and is read as it is.
"""

from pathlib import Path
from typing import TypeVar

from coach.frozen import Frozen
from coach.store.record_marks import mark_of, whole_part
from coach.toml.diagnostic import FileFault, whole_file
from coach.toml.reader import decode_text, parse_model, read_bytes

Model = TypeVar("Model", bound=Frozen)


def with_mark(text: str) -> str:
    """The text with its mark."""
    return text + mark_of(text.encode()).decode()


def read_marked(path: Path, model: type[Model]) -> Model:
    """The file as a model. Raises FileFault where it is not as it was written, or is none."""
    return parse_marked(read_bytes(path), path, model)


def parse_marked(data: bytes, path: Path, model: type[Model]) -> Model:
    """As `read_marked`, of what a file holds."""
    part = whole_part(data)
    if part is not None and (part.damage == "content" or part.end < len(data.rstrip())):
        fix = (
            "restore a backup into another folder (coach restore) and copy this file from there; if somebody changed "
            "it on purpose, take out its last line, # whole and what follows it"
        )
        what = "this file is damaged: it is not as it was signed"
        raise FileFault([whole_file(path, what, "the file as this program wrote it", fix)])
    return parse_model(decode_text(data, path), path, model)

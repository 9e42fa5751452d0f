"""Files that end with the mark of a record: a hash that shows whether they are as they were written.

Their first line says that there is a mark, so that one which was cut off is missed. A file without that line and
without a mark is of an earlier version, or written by hand, and is read as it is.
"""

from pathlib import Path
from typing import TypeVar

from coach.frozen import FromFile
from coach.store.records.record_marks import mark_of, whole_part
from coach.toml.diagnostic import FileFault, whole_file
from coach.toml.reader import decode_text, parse_model, read_bytes

Model = TypeVar("Model", bound=FromFile)

_FIRST_LINE = "# The last line of this file is a mark that shows whether it is whole.\n"


def with_first_line_and_mark(text: str) -> str:
    """The text with its mark, and the line that says so."""
    return with_mark(_FIRST_LINE + text)


def with_mark(text: str) -> str:
    """The text with its mark alone."""
    return text + mark_of(text.encode()).decode()


def read_marked(path: Path, model: type[Model]) -> Model:
    """The file as a model. Raises FileFault where it is not as it was written, or is none."""
    return parse_marked(read_bytes(path), path, model)


def parse_marked(data: bytes, path: Path, model: type[Model]) -> Model:
    """As `read_marked`, of what a file holds."""
    part, announced = whole_part(data), data.startswith(_FIRST_LINE.encode().rstrip())
    damaged = announced if part is None else part.damage == "content" or part.end < len(data.rstrip())
    if damaged:
        how = "its end, with its mark, is missing" if part is None else "it is not as it was written"
        own = "first line and its last line" if announced else "last line"
        fix = (
            "restore a backup into another folder (coach restore) and copy this file from there; if somebody changed "
            f"it on purpose, take out its {own}, # whole and what follows it"
        )
        raise FileFault([whole_file(path, f"this file is damaged: {how}", "the file as this program wrote it", fix)])
    return parse_model(decode_text(data, path), path, model)

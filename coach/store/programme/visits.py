"""The visits of a client: a signed file each, only ever added."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coach.model.programme.seen_at_visits import in_order
from coach.store.client_paths import VISITS
from coach.store.programme.marked_file import read_marked, with_first_line_and_mark
from coach.store.programme.prescribed import same_number, toml_files
from coach.toml.atomic_write import make_folder
from coach.toml.diagnostic import Diagnostic, FileFault, collect_faults, error_reason, whole_file
from coach.toml.new_file import new_file
from coach.toml.reader import parse_model
from coach.toml.writer import dump_by_hand

if TYPE_CHECKING:
    from coach.model.programme.visit_file import VisitFile


def visit_files(path: Path, faults: list[Diagnostic]) -> dict[Path, "VisitFile"]:
    """Every visit file of a client that can be read, in order of their names."""
    files = toml_files(path / VISITS)
    if not files:
        return {}
    from coach.model.programme.visit_file import VisitFile  # which most clients have no file of

    read = ((file, collect_faults(partial(read_marked, file, VisitFile), faults)) for file in files)
    return {file: one for file, one in read if one is not None}


def read_visits(path: Path, faults: list[Diagnostic]) -> tuple["VisitFile", ...]:
    """Every visit of a client in order; copies that say the same count once."""
    found: dict[Path, VisitFile] = {}
    for file, one in visit_files(path, faults).items():
        if one not in found.values():
            found[file] = one
    faults += same_number(found.items(), "visit")
    return in_order(tuple(found.values()))


def visit_path(client: Path, visit: "VisitFile | None") -> Path:
    """Where a visit is written: by its time and the computer, so that no two computers give one name.

    Without a visit, the name for the one that is being written.
    """
    if visit is None:
        return client / VISITS / "visit.toml"
    writer = "" if visit.written is None else f"-{visit.written.writer}"
    return client / VISITS / f"{visit.at:%Y-%m-%dT%H%M%S}{writer}.toml"


def visit_text(visit: "VisitFile") -> str:
    """The text of a visit's file."""
    given = {"format": 2, **visit.model_dump(exclude_none=True, exclude_defaults=True)}
    return with_first_line_and_mark(dump_by_hand(_lists(given)))


def keep_visit(client: Path, visit: "VisitFile") -> Path:
    """Write a visit into a new file. Only for the holder of the lock. Raises FileFault, and then nothing is there."""
    from coach.model.programme.visit_file import VisitFile

    path, text = visit_path(client, visit), visit_text(visit)
    parse_model(text, path, VisitFile)  # nothing is written that could not be read
    try:
        make_folder(path.parent)
    except OSError as error:
        what = f"the folder cannot be made: {error_reason(error)}"
        raise FileFault(
            [whole_file(path.parent, what, "a folder of your own", "make room, or ask its owner")]
        ) from None
    with new_file(path) as file:  # complete or not at all, also where the power fails
        file.write(text.encode())
    return path


def _lists(value: Any) -> Any:
    """Tuples as lists at every level, as the writer takes them."""
    if isinstance(value, Mapping):
        return {key: _lists(item) for key, item in value.items()}
    return [_lists(item) for item in value] if isinstance(value, list | tuple) else value

"""A client's folder moves from format 1 to format 2: a programme of one exercise, and a file for each instruction.

Records are not touched: both formats read them. What is replaced is first copied into a folder of its own, and
prescription.toml goes last, so that an upgrade that was interrupted is only finished by the next one.
"""

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from msgspec import Struct

from coach.model.instruction import Instruction
from coach.model.prescription import OfEveryExercise, PrescribedExercise, Prescription
from coach.model.programme.instruction_file import InstructionFile
from coach.model.programme.programme import Programme
from coach.store.client_paths import INSTRUCTIONS, KEPT, PRESCRIPTION, PROFILE, PROGRAMME, PROGRESS
from coach.store.programme.marked_file import with_first_line_and_mark
from coach.store.programme.prescribed import is_programme
from coach.toml.atomic_write import make_folder
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.new_file import new_folder, write_new
from coach.toml.reader import parse_model, read_bytes, read_model
from coach.toml.writer import dump

_COPIED = (PROFILE, PRESCRIPTION, PROGRESS)


class Upgrade(Struct, frozen=True):
    """The new files of a client's folder, by their paths, of which the programme comes last."""

    path: Path
    files: Mapping[Path, str]


def planned_upgrade(path: Path) -> Upgrade | None:
    """What an upgrade writes; None where the folder is of format 2. Raises FileFault where it cannot be read."""
    if is_programme(path):
        return None
    prescription = read_model(path / PRESCRIPTION, Prescription)
    files = {path / INSTRUCTIONS / _name_of(one): _instruction(one) for one in prescription.sign_offs}
    programme = path / PROGRAMME / "0001.toml"
    files[programme] = _programme(prescription)
    for file, text in files.items():  # nothing is written that could not be read
        parse_model(text, file, Programme if file == programme else InstructionFile)
    return Upgrade(path, files)


def upgrade(path: Path) -> bool:
    """Move a client's folder to format 2; False where it is already. Only for the holder of the lock.

    Raises FileFault, and leaves the folder readable as it was, where it cannot be read or written.
    """
    planned = planned_upgrade(path)
    if planned is None:
        _remove_prescription(path)
        return False
    if not (path / KEPT).exists():
        with new_folder(path / KEPT) as write:
            for name in _COPIED:
                if (path / name).is_file():  # progress.toml is derived, whatever stands in its place
                    write(name, read_bytes(path / name))
    for file, text in planned.files.items():
        _make(file.parent)
        if not file.exists():
            write_new(file, text.encode())
    _remove_prescription(path)
    return True


def _make(folder: Path) -> None:
    try:
        make_folder(folder)
    except OSError as error:
        what = f"the folder cannot be made: {error_reason(error)}"
        raise FileFault([whole_file(folder, what, "a folder of your own", "make room, or ask its owner")]) from None


def _remove_prescription(path: Path) -> None:
    """Remove prescription.toml where a programme holds and the same bytes are kept."""
    old, kept = path / PRESCRIPTION, path / KEPT / PRESCRIPTION
    with suppress(OSError, FileFault):  # read with care: a pipe of that name would never answer
        if old.exists() and read_bytes(kept) == read_bytes(old):
            old.unlink()


def _name_of(instruction: Instruction) -> str:
    return f"{instruction.at:%Y-%m-%dT%H%M%S%z}-{instruction.initials}.toml".replace("+", "p")


def _instruction(instruction: Instruction) -> str:
    values = instruction.model_dump(exclude_none=True, exclude_defaults=True)
    return with_first_line_and_mark(dump({"format": 2, **values}))


def _programme(prescription: Prescription) -> str:
    """The text of the first version of the programme."""
    given: dict[str, Any] = prescription.model_dump(exclude={"sign_offs"}, exclude_none=True, exclude_defaults=True)
    shared = {key: given[key] for key in OfEveryExercise.model_fields if key in given}
    exercise = {key: given[key] for key in PrescribedExercise.model_fields if key in given}
    comment = f"Made from {PRESCRIPTION}, which is kept in {KEPT}. The file with the highest number holds."
    return dump({"format": 2, **shared, "exercises": [{"name": prescription.exercise, **exercise}]}, comment)

"""What the therapist set, as the files of a client hold it: a programme with instructions, or a prescription."""

import re
from collections.abc import Iterable, Iterator
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from coach.model.base import Name
from coach.model.instruction import Instruction
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.instruction_file import InstructionFile
from coach.model.programme.programme import Programme
from coach.store.client_paths import INSTRUCTIONS, PRESCRIPTION, PROGRAMME
from coach.store.programme.marked_file import read_marked
from coach.store.sync_conflicts import SyncCopy, copies_of, signed_there
from coach.toml.diagnostic import Diagnostic, collect_faults, whole_file
from coach.toml.reader import is_there, read_model

if TYPE_CHECKING:
    from coach.model.programme.visit_file import VisitFile

_VERSION = re.compile(r"(\d{4})\.toml")
_COPY_OF_VERSION = re.compile(r"(\d{4})[^0-9A-Za-z_].*\.toml", re.DOTALL)


class Prescribed(Struct, frozen=True):
    """What the therapist set.

    `path` is the file that holds it: prescription.toml of format 1, or the newest version of the programme, which is
    then in `programme`, with the instructions signed since in `instructions`.
    """

    path: Path
    prescription: Prescription
    programme: Programme | None = None
    instructions: tuple[Instruction, ...] = ()
    copies: tuple[SyncCopy, ...] = ()

    @property
    def names(self) -> tuple[Name | None, ...]:
        """The names of the exercises; of a prescription, which has only one, None."""
        return (None,) if self.programme is None else self.programme.names

    def of(self, name: Name | None) -> Prescription:
        """One exercise as it is prescribed. Raises KeyError where there is none of that name."""
        if self.programme is None or name is None:
            return self.prescription
        return self.programme.prescription(name, self.instructions)

    def profile_for(self, name: Name | None, profile: Profile) -> Profile:
        """The client as measured on the side of an exercise."""
        if self.programme is None or name is None:
            return profile.on_side(profile.side)
        return self.programme.profile_for(name, profile)

    @property
    def place(self) -> str:
        """The folder of the instructions, in that of the client; of format 1 there is none."""
        return INSTRUCTIONS if self.programme is not None else ""

    def signing_times(self) -> Iterator[datetime]:
        """When every instruction was signed, as it says itself and as it was put right."""
        yield from (one.at for one in self.instructions)
        for name in self.names:
            prescription = self.of(name)
            yield from (one.at for one in (*prescription.sign_offs, *prescription.with_right_dates.sign_offs))


def is_programme(path: Path) -> bool:
    """Whether a client's folder is of format 2."""
    return any(_VERSION.fullmatch(one.name) for one in toml_files(path / PROGRAMME))


def read_prescribed(path: Path, faults: list[Diagnostic]) -> Prescribed | None:
    """What the therapist set for a client; None where that cannot be read, with every fault added to `faults`."""
    file = prescribed_file(path)
    if file.parent.name != PROGRAMME:
        prescription = collect_faults(lambda: read_model(file, Prescription), faults)
        return None if prescription is None else Prescribed(file, prescription, copies=copies_of(file, prescription))
    programme = collect_faults(lambda: read_model(file, Programme), faults)
    instructions = _read_instructions(path, faults)
    if programme is None:
        return None
    copies = (*copies_of_versions(path), *_signed_too_late(path, file, instructions))
    first = programme.prescription(programme.names[0], instructions)
    return Prescribed(file, first, programme, instructions, copies)


def prescribed_file(path: Path) -> Path:
    """The file that holds what is prescribed, or where it should be."""
    if is_programme(path):
        return newest_version(path)
    format_1 = path / PRESCRIPTION
    return next_version(path) if (path / PROGRAMME).is_dir() and not is_there(format_1) else format_1


def newest_version(path: Path) -> Path:
    """The newest version of a client's programme. Raises ValueError where there is none."""
    return max(versions(path))


def next_version(path: Path) -> Path:
    """Where the next version of a client's programme is written."""
    every = versions(path)
    number = int(max(every).stem) + 1 if every else 1
    return path / PROGRAMME / f"{number:04d}.toml"


def versions(path: Path) -> list[Path]:
    """Every version of a client's programme, in order."""
    return [one for one in toml_files(path / PROGRAMME) if _VERSION.fullmatch(one.name)]


def copies_of_versions(path: Path) -> tuple[SyncCopy, ...]:
    """The copies of every version of the programme, also of one that has only arrived as a copy."""
    every = versions(path)
    named = {found[1] for one in toml_files(path / PROGRAMME) if (found := _COPY_OF_VERSION.fullmatch(one.name))}
    alone = [path / PROGRAMME / f"{number}.toml" for number in sorted(named - {one.stem for one in every})]
    return tuple(copy for one in (*every, *alone) for copy in copies_of(one, _as_programme(one)))


def _signed_too_late(path: Path, holds: Path, instructions: Iterable[Instruction]) -> Iterator[SyncCopy]:
    """A prescription.toml beside a programme, where something was signed in it that is in no file of its own.

    Another computer, on which the client is of format 1 still, may have written it.
    """
    if not is_there(path / PRESCRIPTION):
        return
    old = collect_faults(lambda: read_model(path / PRESCRIPTION, Prescription), [])
    known = {(one.at, one.what, one.initials) for one in instructions}
    late = [one for one in old.sign_offs if (one.at, one.what, one.initials) not in known] if old is not None else []
    if late:
        signed = signed_there(late)
        yield SyncCopy(path / PRESCRIPTION, f"{PROGRAMME}/{holds.name}", differs=True, more=signed)


def _as_programme(path: Path) -> Programme | None:
    return collect_faults(lambda: read_model(path, Programme), [])


def toml_files(folder: Path) -> list[Path]:
    """The TOML files of a folder, in order of their names; none where there is no folder."""
    return sorted(folder.glob("*.toml")) if folder.is_dir() else []


def instruction_files(path: Path, faults: list[Diagnostic]) -> dict[Path, InstructionFile]:
    """Every instruction file of a client that can be read, in order of their names."""
    read = ((file, collect_faults(partial(read_marked, file, InstructionFile), faults))
            for file in toml_files(path / INSTRUCTIONS))  # fmt: skip
    return {file: one for file, one in read if one is not None}


def _read_instructions(path: Path, faults: list[Diagnostic]) -> tuple[Instruction, ...]:
    """Every instruction, in order of the names of their files; copies that say the same count once."""
    found: dict[Path, InstructionFile] = {}
    for file, one in instruction_files(path, faults).items():
        if one not in found.values():
            found[file] = one
    faults += same_number(found.items(), "instruction")
    return tuple(_in_memory(one) for one in found.values())


def _in_memory(one: InstructionFile) -> Instruction:
    values = {key: getattr(one, key) for key in Instruction.model_fields}
    return Instruction.model_construct(**values)


def same_number(found: Iterable[tuple[Path, "InstructionFile | VisitFile"]], kind: str) -> list[Diagnostic]:
    """A fault for each of two files of one kind and number: a copy that somebody has changed."""
    files: dict[tuple[str, int], Path] = {}
    faults = list[Diagnostic]()
    for path, one in found:
        if one.written is None:
            continue
        key = (one.written.writer, one.written.number)
        if key in files:
            what = f"this says something else than {files[key].name}, and both are the same {kind}"
            fix = "ask who signed it which of the two is right, and move the other out of this folder"
            faults.append(whole_file(path, what, f"one file for one {kind}", fix))
        files.setdefault(key, path)
    return faults

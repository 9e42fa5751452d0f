"""Whether the instructions of a client, each in a file of its own, fit the programme."""

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from coach.model.base import position_in_words
from coach.model.instruction import OF_ONE_EXERCISE
from coach.model.programme.instruction_file import InstructionFile
from coach.model.programme.programme import Programme, ProgrammeExercise
from coach.store.client_paths import PROGRAMME
from coach.store.programme.prescribed import instruction_files, is_programme, newest_version, versions
from coach.store.sync_conflicts import SyncCopy, copies_of
from coach.store.therapist.changed_values import is_written
from coach.store.therapist.prescription_file import value_at
from coach.toml.diagnostic import Diagnostic, collect_faults
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile

# When it was signed, where the time zone is known also that, and the computer or the initials.
_OWN_NAME = re.compile(r"\d{4}-\d\d-\d\dT\d{6}([p-]\d{4})?(-\w+)?\.toml")


def check_instructions(folder: Path) -> Iterator[Diagnostic]:
    """Every fault of instructions that can be read; none where the programme cannot."""
    programme = _read(newest_version(folder)) if is_programme(folder) else None
    if programme is None:
        return
    files = instruction_files(folder, [])
    yield from (copy.fault for copy in instruction_copies(files))
    earlier = [one for one in map(_read, versions(folder)) if one is not None]
    names = {name for one in earlier for name in one.names}
    for path, one in files.items():
        source = SourceFile(path)
        if one.exercise is not None and one.exercise not in names:
            what, known = f"the programme has no exercise {one.exercise}", programme.names
            yield source.unknown_value(("exercise",), what, one.exercise, known)
            continue
        concerned = tuple(each for each in programme.exercises if one.exercise in (None, each.name))
        if concerned:  # else it was signed for an exercise of an earlier version
            yield from _unfit(one, concerned, programme, earlier, source)
        yield from _taken_back(path, files, source)
        yield from _in_no_version(one, earlier, source)


def _in_no_version(one: InstructionFile, every: Sequence[Programme], source: SourceFile) -> Iterator[Diagnostic]:
    """A change of which no version of the programme knows.

    Two computers that change one programme without knowing of each other write a version of the same name, and a
    program that brings their folders together may keep one of the two.
    """
    if one.written is None:  # before format 2 there were no versions
        return
    prescribed = [
        version.prescription(name).model_dump(exclude_none=True)
        for version in every
        for name in version.names
        if one.exercise in (None, name)
    ]
    for index, change in enumerate(one.changed):
        if change.now is None or any(is_written(value_at(data, change.key), change.now) for data in prescribed):
            continue
        what = f"{change.key} = {change.now} was signed, and no version of the programme has it"
        fix = "another computer wrote a version of the same name over it: sign it again, or take it back"
        yield source.at_key(("changed", index), what, f"a file in {PROGRAMME}/ with it", fix)


def instruction_copies(files: Mapping[Path, InstructionFile]) -> Iterator[SyncCopy]:
    """The copies of instructions that a program for synchronising folders has left.

    What was signed in one second on two computers has names that this program gives, and is no copy.
    """
    for path, one in files.items():
        if _OWN_NAME.fullmatch(path.name):
            yield from (copy for copy in copies_of(path, one) if not _OWN_NAME.fullmatch(copy.path.name))


def _read(path: Path) -> Programme | None:
    return collect_faults(lambda: read_model(path, Programme), [])


def _unfit(
    one: InstructionFile,
    concerned: tuple[ProgrammeExercise, ...],
    programme: Programme,
    earlier: Sequence[Programme],
    source: SourceFile,
) -> Iterator[Diagnostic]:
    """What no exercise that the instruction applies to can follow, nor could in a version of the programme before."""
    names = ", ".join(each.name for each in concerned)
    own = {each.name for each in concerned}
    ever = [each for version in (programme, *earlier) for each in version.exercises if each.name in own]
    positions = sorted({position for each in ever for position in each.positions})
    if one.position is not None and one.position not in positions:
        what = f"{position_in_words(one.position)} is in no positions of {names}"
        expected = f"one of {', '.join(positions)}"
        yield source.at_value(("position",), what, expected, "write one of them")
    asked = one.repetitions
    if asked is not None and not any(each.repetitions_least <= asked <= each.repetitions_most for each in concerned):
        low, high = (
            min(each.repetitions_least for each in concerned),
            max(each.repetitions_most for each in concerned),
        )
        what, expected = f"{asked} repetitions are outside the dose of {names}", f"from {low} to {high}"
        yield source.at_value(("repetitions",), what, expected, "stay inside, or change the dose")
    unnamed = one.exercise is None and len(programme.names) > 1
    if one.what in OF_ONE_EXERCISE and unnamed and not one.changes_repair:
        what = f"{one.what} is for one exercise, and this instruction names none"
        expected = f"exercise = one of {', '.join(programme.names)}"
        yield source.at_value(("what",), what, expected, "add a line exercise = …")


def _taken_back(path: Path, files: Mapping[Path, InstructionFile], source: SourceFile) -> Iterator[Diagnostic]:
    """What is taken back is there."""
    when = files[path].signed_at
    signed = [one.at for one in files.values() if one.what != "take_back"]
    if when is None or when in signed:
        return
    times = [at.isoformat() for at in sorted(signed)]
    near = nearest_name(when.isoformat(), times)
    what = f"no instruction was signed at {when.isoformat()}"
    expected = f"one of {', '.join(times)}" if times else "the time at which an instruction was signed"
    yield source.at_value(("signed_at",), what, expected, "write one of them, or move this file away", near)

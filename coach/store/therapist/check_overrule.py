"""The check of the load of the next session: the one asked for, the first one, or the one the client has reached."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType

from msgspec.structs import replace

from coach.mechanics.first_step import AboveStrength
from coach.mechanics.ladder import NoLoadStep
from coach.model.content import Content
from coach.model.load_step import ChosenStep
from coach.model.programme.instruction_file import InstructionFile
from coach.model.progress import Progress
from coach.session.plan import NotOnLadder, plan_session
from coach.store.client_store import ClientStore
from coach.store.programme.prescribed import instruction_files
from coach.store.therapist.check_prescribed import ExerciseSource
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath
from coach.toml.source_file import SourceFile


def check_load(
    path: Path, content: Content, of_profile: SourceFile, exercises: tuple[ExerciseSource, ...]
) -> Iterator[Diagnostic]:
    """The fault at the load of the next session of each exercise; none where the records cannot be read.

    The files of the folder must fit each other. A load that a session was done with stays as it was signed.
    """
    try:
        stores = ClientStore.read(path, content).exercises
    except FileFault:
        return
    for store, one in zip(stores, exercises, strict=True):
        try:
            plan_session(store.profile, store.prescription, content, store.progress)
        except FileFault:
            return
        except NoLoadStep as none:
            whole = replace(one, prescription=store.prescription)
            yield load_fault(none, whole, store.progress, of_profile, instruction_files(path, []))


def load_fault(
    none: NoLoadStep,
    one: ExerciseSource,
    progress: Progress,
    of_profile: SourceFile,
    instructions: Mapping[Path, InstructionFile] = MappingProxyType({}),
) -> Diagnostic:
    """Why the next session has no load, at the line that asks for it: an overruling, the first step, or the shelf.

    `instructions` are those that stand in files of their own.
    """
    prescription, source = one.prescription, one.source
    if progress.asked is not None:
        source, key = _place(one, progress.asked, instructions)
        fix = "sign another load, or take the instruction back"
        return source.at_value(key, none.what, _expected(none), f"{fix}: {none.fix}")
    if isinstance(none, NotOnLadder):
        fix = "write one of these, or leave the first step out"
        return source.at_key(("first_step",), none.what, none.nearest, fix)
    begins = progress.load is None and progress.position == prescription.positions[0]
    if isinstance(none, AboveStrength) and begins and prescription.first_step is not None:
        return source.at_key(("first_step",), none.what, _expected(none), none.fix)
    table = "strengths" if isinstance(none, AboveStrength) else "home"
    return of_profile.at_key((table,), one.about(none.what), _expected(none), none.fix)


def _expected(none: NoLoadStep) -> str:
    return none.nearest if isinstance(none, NotOnLadder) else "a load step that may be used"


def _place(
    one: ExerciseSource, asked: ChosenStep, instructions: Mapping[Path, InstructionFile]
) -> tuple[SourceFile, KeyPath]:
    """The load of the newest instruction that asks for it."""
    names = (None, one.name)
    files = [path for path, each in instructions.items() if each.load == asked and each.exercise in names]
    if files:
        return SourceFile(max(files, key=lambda path: instructions[path].at)), ("load",)
    signed = one.prescription.sign_offs
    asking = [index for index, each in enumerate(signed) if each.load == asked]
    return one.source, ("sign_offs", max(asking, key=lambda index: signed[index].at), "load")

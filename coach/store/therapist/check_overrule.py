"""The check of the load of the next session: the one asked for, the first one, or the one the client has reached."""

from collections.abc import Iterator
from pathlib import Path

from coach.mechanics.first_step import AboveStrength
from coach.mechanics.ladder import NoLoadStep
from coach.model.content import Content
from coach.model.load_step import ChosenStep
from coach.model.prescription import Prescription
from coach.model.progress import Progress
from coach.session.plan import NotOnLadder, plan_session
from coach.store.client_store import ClientStore
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.source_file import SourceFile


def check_load(
    path: Path, content: Content, of_profile: SourceFile, of_prescription: SourceFile
) -> Iterator[Diagnostic]:
    """The fault at the load of the next session; none where the records cannot be read.

    The files of the folder must fit each other. A load that a session was done with stays as it was signed.
    """
    try:
        store = ClientStore.read(path, content)
        plan_session(store.profile, store.prescription, content, store.progress)
    except FileFault:
        return
    except NoLoadStep as none:
        yield load_fault(none, store.prescription, store.progress, of_profile, of_prescription)


def load_fault(
    none: NoLoadStep,
    prescription: Prescription,
    progress: Progress,
    of_profile: SourceFile,
    of_prescription: SourceFile,
) -> Diagnostic:
    """Why the next session has no load, at the line that asks for it: an overruling, the first step, or the shelf."""
    if progress.asked is not None:
        key, fix = _place(prescription, progress.asked), "sign another load, or take the instruction back"
        return of_prescription.at_value(key, none.what, _expected(none), f"{fix}: {none.fix}")
    if isinstance(none, NotOnLadder):
        fix = "write one of these, or leave the first step out"
        return of_prescription.at_key(("first_step",), none.what, none.nearest, fix)
    begins = progress.load is None and progress.position_deg == prescription.positions[0]
    if isinstance(none, AboveStrength) and begins and prescription.first_step is not None:
        return of_prescription.at_key(("first_step",), none.what, _expected(none), none.fix)
    table = "strengths" if isinstance(none, AboveStrength) else "home"
    return of_profile.at_key((table,), none.what, _expected(none), none.fix)


def _expected(none: NoLoadStep) -> str:
    return none.nearest if isinstance(none, NotOnLadder) else "a load step that may be used"


def _place(prescription: Prescription, asked: ChosenStep) -> tuple[str | int, ...]:
    """The load of the newest instruction that asks for it."""
    asking = [index for index, one in enumerate(prescription.sign_offs) if one.load == asked]
    newest = max(asking, key=lambda index: prescription.sign_offs[index].at)
    return "sign_offs", newest, "load"

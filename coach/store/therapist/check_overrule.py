"""Checks that a load asked for by an instruction, and not yet used in a session, is a load step."""

from collections.abc import Iterator
from pathlib import Path

from coach.model.content import Content
from coach.model.load_step import ChosenStep
from coach.model.prescription import Prescription
from coach.session.plan import NotOnLadder, plan_session
from coach.store.client_store import ClientStore
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.source_file import SourceFile


def check_overruled_load(path: Path, content: Content, of_prescription: SourceFile) -> Iterator[Diagnostic]:
    """The fault at the load of that instruction; none where the records cannot be read.

    The files of the folder must fit each other. A load that a session was done with stays as it was signed.
    """
    try:
        store = ClientStore.read(path, content)
        plan_session(store.profile, store.prescription, content, store.progress)
    except FileFault:
        return
    except NotOnLadder as off:
        fix = "write one of these and sign it anew, or take the instruction back"
        yield of_prescription.at_value(_place(store.prescription, off.asked), off.what, off.nearest, fix)


def _place(prescription: Prescription, asked: ChosenStep) -> tuple[str | int, ...]:
    """The load of the newest instruction that asks for it."""
    asking = [index for index, one in enumerate(prescription.sign_offs) if one.load == asked]
    newest = max(asking, key=lambda index: prescription.sign_offs[index].at)
    return "sign_offs", newest, "load"

"""Whether the load that a sign-off overruled to, and no session has been done with yet, is a load step."""

from collections.abc import Iterator
from pathlib import Path

from coach.model.content import Content
from coach.model.load_step import ChosenStep
from coach.model.prescription import Prescription
from coach.session.plan import OffTheLadder, plan_session
from coach.store.client_folder import read_profile_folder
from coach.store.client_store import judged
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.source_file import Source


def check_asked(path: Path, content: Content, of_prescription: Source) -> Iterator[Diagnostic]:
    """The fault at the load of that sign-off. Nothing where the records cannot be read: a session says what is wrong.

    The files of the folder must fit each other. A load that a session was done with is history and stays as signed.
    """
    try:
        folder = read_profile_folder(path, mends=False)
        plan_session(folder.profile, folder.prescription, content, judged(folder, content)[0])
    except FileFault:
        return
    except OffTheLadder as off:
        mend = "write one of these and sign it anew, or take the word back"
        yield of_prescription.at_value(_place(folder.prescription, off.asked), off.what, off.nearest, mend)


def _place(prescription: Prescription, asked: ChosenStep) -> tuple[str | int, ...]:
    """The load of the newest sign-off that asks for it."""
    asking = [index for index, one in enumerate(prescription.sign_offs) if one.load == asked]
    newest = max(asking, key=lambda index: prescription.sign_offs[index].at)
    return "sign_offs", newest, "load"

"""A review that only progress.toml still knows of: a record of it was lost, and the client stays closed.

Where the hidden seal was lost too, nothing lists the record. progress.toml is derived and gives way to the records in
all else; but that the therapist has to look first is not taken back by a file that is missing.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.progress import Progress
from coach.store.client_paths import PROGRESS
from coach.store.records.record_damage import is_as_sealed, read_seal
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import read_bytes

if TYPE_CHECKING:
    from coach.store.client_store import ClientStore


def is_signed_away(review: Progress, prescription: Prescription) -> bool:
    """Whether the end of a review was signed after everything that the progress with this review holds."""
    pending = {one.at for one in review.pending}
    ends = [one for one in prescription.instructions_not_taken_back if one.what == "end_review"]
    new = [one for one in ends if one.at not in pending]
    return any(review.looked_at is None or one.at > review.looked_at for one in new)


def held_fault(store: "ClientStore") -> Diagnostic:
    """What is wrong with a client whose review no record explains, and what to do."""
    saved = store.folder.saved
    decision = saved.decision if saved is not None else None
    reason = f": {decision.reason}" if decision is not None and decision.reason else ""
    what = f"it asks for a review that no record explains, so a record may be lost, and there is no session{reason}"
    fix = "put the records back from a backup; or see the client, then sign it: coach steer PROFILE end_review"
    return whole_file(store.path / PROGRESS, what, "a record of the session that led to it", fix)


def held_faults(path: Path, content: Content) -> Iterator[Diagnostic]:
    """The fault of a client whose review no record explains; none where the files cannot be read."""
    from coach.store.client_store import ClientStore

    try:
        if is_as_sealed(path, read_seal(path)) or b'"review"' not in read_bytes(path / PROGRESS):
            return  # as for most: they need not be judged once more
        held = [one for one in ClientStore.read(path, content).exercises if one.is_held]
    except FileFault:
        return
    if held:
        yield held_fault(held[0])

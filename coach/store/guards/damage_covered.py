"""Whether a client goes on without records that are damaged or missing: progress.toml tells what they led to."""

from typing import TYPE_CHECKING

from coach.store.records.record_damage import Seal, is_as_sealed, read_seal

if TYPE_CHECKING:
    from coach.store.client_folder import ClientFolder

GOES_ON = ", and the programme goes on without it"
STOPS = ", and nothing else tells what it held: there is no session until its copy is back"


def is_covered(folder: "ClientFolder", seal: Seal | None) -> bool:
    """Whether progress.toml is as it was sealed, after every damaged record, and may be gone on from.

    It may not where an instruction that it holds was taken back since.
    """
    if folder.saved is None or seal is None or not is_as_sealed(folder.path, seal):
        return False
    taken_back = [one for one in folder.prescription.sign_offs if one.signed_at is not None]
    known = all(one.at.isoformat() in seal.signed for one in taken_back)
    return known and all(raw.path.name in seal.records for raw in folder.damaged)


def what_follows(folder: "ClientFolder") -> str:
    """What becomes of the client, to be added to what is wrong with a damaged record."""
    return GOES_ON if is_covered(folder, read_seal(folder.path)) else STOPS

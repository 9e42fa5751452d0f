"""What was measured of a session after progress.toml was derived from it, where the client goes on from that file."""

from typing import TYPE_CHECKING

from coach.model.progress import Progress
from coach.progression.measured.veto import Vetoes, held_late, measured_against
from coach.progression.rule_book import RuleBook
from coach.store.measured_sets.measured_files import measured_sets
from coach.store.records.record_damage import Seal

if TYPE_CHECKING:
    from coach.store.client_folder import ClientFolder


def held_since(saved: Progress, seal: Seal, folder: "ClientFolder", vetoes: Vetoes, book: RuleBook) -> Progress:
    """The saved progress of an exercise with the vetoes of its sealed records that it does not hold yet.

    `vetoes` are those of now; which of them are in it already follows from the files that were sealed.
    """
    records = (one for one in folder.stored_records if one.path.name in seal.records)
    applied = [one for one in records if one.record.name == folder.name]
    known = measured_sets(folder.measured_files.among(seal.measured), applied)
    held = known.vetoes(folder.prescription.measured_holds)
    for one in applied:
        found = measured_against(one.record, vetoes)
        if found != measured_against(one.record, held):
            saved = held_late(saved, one.record, found, book, is_last=one is applied[-1])
    return saved

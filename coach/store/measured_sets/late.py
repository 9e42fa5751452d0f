"""What was measured of a session after progress.toml was derived from it, where the client goes on from that file."""

from collections.abc import Iterable

from coach.model.base import Name
from coach.model.progress import Progress
from coach.progression.measured.veto import Vetoes, held_late, measured_against
from coach.progression.rule_book import RuleBook
from coach.store.measured_sets.measured_files import MeasuredFiles, measured_sets
from coach.store.record_damage import Seal
from coach.store.record_file import StoredRecord


def held_since(
    saved: Progress,
    seal: Seal,
    records: Iterable[StoredRecord],
    name: Name | None,
    files: MeasuredFiles,
    vetoes: Vetoes,
    holds_now: bool,
    book: RuleBook,
) -> Progress:
    """The saved progress of an exercise with the vetoes of its sealed records that it does not hold yet.

    `records` are those that can be read, in order; `files` and `vetoes` are those of now.
    """
    applied = [one for one in records if one.path.name in seal.records and one.record.name == name]
    held = measured_sets(files.among(seal.measured), applied).vetoes(holds_now)
    for one in applied:
        found = measured_against(one.record, vetoes)
        if found != measured_against(one.record, held):
            saved = held_late(saved, one.record, found, book, is_last=one is applied[-1])
    return saved

"""One session, one record: what a program that keeps folders the same on two machines leaves beside a record."""

from collections.abc import Iterable

from coach.store.record_file import StoredRecord, is_own_name
from coach.toml.diagnostic import Diagnostic, whole_file


def without_copies(kept: Iterable[StoredRecord], faults: list[Diagnostic]) -> list[StoredRecord]:
    """Each session once, by the record that holds the most of it.

    A copy has a name that this program does not give, and begins at the same second as another record. As a record
    is only appended to, the shorter of two copies is an earlier state of the longer. Where neither is, the session
    went on in both, and nobody but a person can say which is true: that is a fault.
    """
    every = list(kept)
    sessions = [one for one in every if is_own_name(one.path)]
    for copy in (one for one in every if not is_own_name(one.path)):
        same = [number for number, one in enumerate(sessions) if one.record.started == copy.record.started]
        together = next((number for number in same if _one_goes_on_the_other(sessions[number], copy)), None)
        if together is not None:
            sessions[together] = _longer(sessions[together], copy)
        elif same:
            faults.append(_parted(sessions[same[0]], copy))
        else:
            sessions.append(copy)
    return sessions


def _one_goes_on_the_other(one: StoredRecord, copy: StoredRecord) -> bool:
    shorter, longer = sorted((one.record, copy.record), key=lambda record: len(record.entry))
    return longer.model_copy(update={"entry": longer.entry[: len(shorter.entry)]}) == shorter


def _longer(one: StoredRecord, copy: StoredRecord) -> StoredRecord:
    return copy if len(copy.record.entry) > len(one.record.entry) else one


def _parted(one: StoredRecord, copy: StoredRecord) -> Diagnostic:
    what = f"this is another record of the session in {one.path.name}, and the two went different ways"
    fix = "ask the therapist which of the two is true, and move the other out of this folder"
    return whole_file(copy.path, what, "one record for one session", fix)

"""Copies of a record that a program for synchronising folders between machines has left."""

from collections.abc import Iterable

from coach.store.record_file import StoredRecord, is_own_name
from coach.toml.diagnostic import Diagnostic, whole_file


def without_copies(stored: Iterable[StoredRecord], faults: list[Diagnostic]) -> list[StoredRecord]:
    """One record for each session: of several copies, the longest.

    A copy has a name that this program does not give, and starts at the same second as another record. Records are
    only appended to, so the shorter of two copies is an earlier state of the longer. Where it is not, the session was
    continued in both; only a person can tell which is right, so it is added to `faults`.
    """
    every = list(stored)
    sessions = [one for one in every if is_own_name(one.path)]
    for copy in (one for one in every if not is_own_name(one.path)):
        same = [number for number, one in enumerate(sessions) if one.record.started == copy.record.started]
        together = next((number for number in same if _is_earlier_state(sessions[number], copy)), None)
        if together is not None:
            sessions[together] = _longer(sessions[together], copy)
        elif same:
            faults.append(_diverged(sessions[same[0]], copy))
        else:
            sessions.append(copy)
    return sessions


def _is_earlier_state(one: StoredRecord, copy: StoredRecord) -> bool:
    shorter, longer = sorted((one.record, copy.record), key=lambda record: len(record.entry))
    return longer.model_copy(update={"entry": longer.entry[: len(shorter.entry)]}) == shorter


def _longer(one: StoredRecord, copy: StoredRecord) -> StoredRecord:
    return copy if len(copy.record.entry) > len(one.record.entry) else one


def _diverged(one: StoredRecord, copy: StoredRecord) -> Diagnostic:
    what = f"this is another record of the session in {one.path.name}, and the two differ"
    fix = "ask the therapist which of the two is right, and move the other out of this folder"
    return whole_file(copy.path, what, "one record for one session", fix)

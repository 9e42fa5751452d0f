"""What was ever reported about pain in the sets of a session.

Answers changed afterwards count: a report of pain that is taken back never leads to a rise.
"""

from collections.abc import Sequence

from msgspec import Struct

from coach.model import step_names
from coach.model.record import Answered, Chosen, Record, TakenBack

ACHE, SHARP = "ache", "sharp"
PAIN_TROUBLES = (ACHE, SHARP)
# What is asked about a pain, in that order.
_QUESTIONS = (step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN)
_PAINS = (step_names.PAIN, step_names.TROUBLE_PAIN)


class PainReports(Struct, frozen=True):
    """The highest pain reported in a set, whether a report lacks its place or its size, and whether one was sharp.

    `left_open`: the last report stands, and its size was not said.
    """

    worst: int | None
    unfinished: bool
    sharp: bool
    left_open: bool


def pain_in_sets(record: Record) -> PainReports:
    """What was reported in the sets of a session; a report that was taken back is an unfinished one."""
    pains: list[int] = []
    missing: set[str] = set()
    sharp = False
    for one in record.said_in_sets:
        value = one.value  # looked at first: of most answers it says that they report no pain
        if isinstance(value, int):
            if step_names.within_group(one.step) in _PAINS:
                pains.append(value)
        elif value in PAIN_TROUBLES and step_names.within_group(one.step) == step_names.TROUBLE:
            group = step_names.group_of(one.step)
            missing |= {f"{group}.{step_names.TROUBLE_WHERE}", f"{group}.{step_names.TROUBLE_PAIN}"}
            sharp = sharp or value == SHARP
        if missing:
            missing.discard(one.step)
    return PainReports(max(pains, default=None), bool(missing), sharp, bool(missing and left_open(record.entry)))


def left_open(entries: Sequence[Struct]) -> tuple[str, ...]:
    """The steps of a report of pain that were not answered: its place and its size, or its size; empty without one.

    The last of the entries about a pain says it, as its questions are asked and taken back in their order. A choice
    that was taken back before it was confirmed leaves the answers as they were.
    """
    at = len(entries)
    while at:
        at -= 1
        entry = entries[at]
        if isinstance(entry, TakenBack) and at and isinstance(entries[at - 1], Chosen):
            at -= 1
            continue
        if not isinstance(entry, Answered | TakenBack):
            continue
        name, group = step_names.within_group(entry.step), step_names.group_of(entry.step)
        if name not in _QUESTIONS:
            continue
        said = entry.value if isinstance(entry, Answered) else None
        answered = said is not None
        if name == step_names.TROUBLE and said not in (ACHE, SHARP):
            return ()
        return tuple(f"{group}.{one}" for one in _QUESTIONS[_QUESTIONS.index(name) + answered :])
    return ()


def said_nowhere(entries: Sequence[Struct]) -> bool:
    """Whether a report of pain lacks its size, and no choice waits to be confirmed that says it."""
    return bool(left_open(entries)) and not isinstance(entries[-1], Chosen)


def worst_reported(record: Record) -> int | None:
    """The highest pain ever reported in the session, also where the answer was changed afterwards."""
    return worst_with_check_in(record, pain_in_sets(record))


def worst_with_check_in(record: Record, in_sets: PainReports) -> int | None:
    """The highest pain of the sets and of the check-in."""
    now = record.answer(step_names.PAIN_NOW)
    if not isinstance(now, int):
        return in_sets.worst
    return now if in_sets.worst is None else max(in_sets.worst, now)

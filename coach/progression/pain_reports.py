"""What was ever reported about pain in the sets of a session, and which answers were left open.

Answers changed afterwards count: a report of pain that is taken back never leads to a rise.
"""

from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from coach.model import step_names
from coach.model.record import Answered, Chosen, Record, TakenBack

ACHE, SHARP = "ache", "sharp"
PAIN_TROUBLES = (ACHE, SHARP)
PRESSED = "pressed"
"""The answer at the pain key, before it is said what is wrong."""
# A report with the pain key, in the order in which it is said and taken back.
_REPORT = (step_names.PAIN_KEY, step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN)
_PAINS = (step_names.PAIN, step_names.TROUBLE_PAIN)


class PainReports(Struct, frozen=True):
    """The highest pain reported in a set, whether a report lacks its place or its size, and whether one was sharp.

    `left_open`: the last report stands, and what is wrong or the size of the pain was not said.
    """

    worst: int | None
    unfinished: bool
    sharp: bool
    left_open: bool


def pain_in_sets(record: Record) -> PainReports:
    """What was reported in the sets of a session; a report that was taken back is an unfinished one."""
    pains: list[int] = []
    missing: set[str] = set()
    sharp = reported = False
    for one in record.said_in_sets:
        value = one.value  # looked at first: of most answers it says that they report no pain
        if isinstance(value, int):
            if step_names.within_group(one.step) in _PAINS:
                pains.append(value)
        elif value == PRESSED:
            reported = True
        elif value in PAIN_TROUBLES and step_names.within_group(one.step) == step_names.TROUBLE:
            group = step_names.group_of(one.step)
            missing |= {f"{group}.{step_names.TROUBLE_WHERE}", f"{group}.{step_names.TROUBLE_PAIN}"}
            sharp, reported = sharp or value == SHARP, True
        if missing:
            missing.discard(one.step)
    return PainReports(max(pains, default=None), bool(missing), sharp, reported and bool(left_open(record.entry)))


def left_open(entries: Sequence[Struct]) -> tuple[str, ...]:
    """The steps of a report with the pain key that were not answered; empty without one.

    The last that stands says it. A choice that was taken back unconfirmed leaves the answers as they were.
    """
    standing: list[Answered] = []
    for at, entry in enumerate(entries):
        if not isinstance(entry, Answered | TakenBack) or step_names.within_group(entry.step) not in _REPORT:
            continue
        if isinstance(entry, Answered):
            standing.append(entry)
        elif not (at and isinstance(entries[at - 1], Chosen)):
            last = next((one for one in reversed(standing) if one.step == entry.step), None)
            standing = [one for one in standing if one is not last]
    if not standing or _is_no_pain(standing[-1]):
        return ()
    group, name = step_names.group_of(standing[-1].step), step_names.within_group(standing[-1].step)
    return tuple(f"{group}.{one}" for one in _REPORT[_REPORT.index(name) + 1 :])


def _is_no_pain(said: Answered) -> bool:
    return step_names.within_group(said.step) == step_names.TROUBLE and said.value not in PAIN_TROUBLES


def said_nowhere(entries: Sequence[Struct]) -> bool:
    """Whether a report with the pain key lacks what is wrong or its size, and no choice is left that says it."""
    return bool(left_open(entries)) and not isinstance(entries[-1], Chosen)


def answer_taken_back(record: Record) -> bool:
    """Whether a choice that would have ended the session was taken back, and no answer to its question stands since.

    One of the pain key too, also where the whole report was taken back after it.
    """
    if not any(type(one) is TakenBack for one in record.entry):
        return False
    chosen, left = set[str](), set[str]()
    for before, entry in pairwise(record.entry):
        if isinstance(entry, Answered):
            left.discard(entry.step)
        elif isinstance(entry, TakenBack) and (isinstance(before, Chosen) or entry.step in chosen):
            chosen.add(entry.step)
            left.add(entry.step)
    return bool(left)


def worst_reported(record: Record) -> int | None:
    """The highest pain ever reported in the session, also where the answer was changed afterwards."""
    return worst_with_check_in(record, pain_in_sets(record))


def worst_with_check_in(record: Record, in_sets: PainReports) -> int | None:
    """The highest pain of the sets and of the check-in."""
    now = record.answer(step_names.PAIN_NOW)
    if not isinstance(now, int):
        return in_sets.worst
    return now if in_sets.worst is None else max(in_sets.worst, now)

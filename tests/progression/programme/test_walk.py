"""What must hold between the exercises of a programme, for every class of state of one and of answers to another.

1,120 classes of state, 3,916 classes of answers and three ways in which the two exercises meet: 13,157,760. The walk
of the test run takes every 9973rd; WALK in the environment is another stride, and WALK=1 walks them all.
"""

import os
from itertools import islice, product

import pytest

from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.state_machine import advance, replay
from tests.progression.records import book
from tests.progression.walk import GOES_ON, Class, answers, states

_EVERY = int(os.environ.get("WALK", "9973"))
# What belongs to one exercise: it stays as it was, whatever was done and said in another.
_OWN = (
    *("exercise", "position", "load", "repetitions", "ready_sessions", "under_sessions", "clean_sets", "sessions"),
    *("first_session", "last_session", "fell_from_nm", "falls", "eased", "frozen", "position_cap", "range_caps"),
    *("newest_fault", "form_asked", "pace_sets", "asked"),
)
# The other side of the same exercise; another exercise; another one, after the check-in was counted with a first.
_MEETINGS: tuple[dict[str, object], ...] = ({}, {"exercise": "internal_rotation"}, {"part": 1})


def _other(given: Class, meets: dict[str, object]) -> Record:
    return given.record.model_copy(update={"name": "other", **meets})


@pytest.mark.parametrize("meets", range(len(_MEETINGS)))
def test_another_exercise_moves_nothing_of_this_one(meets: int) -> None:
    meeting = _MEETINGS[meets]
    stood, given = list(states(4, 13)), list(answers(4, 13, **GOES_ON[0]))
    walked = 0
    for before, one in islice(product(stood, given), meets, None, _EVERY):
        record = _other(one, meeting)
        _check(before.model_copy(update={"name": "this"}), one, record)
        walked += 1
    assert walked >= len(stood) * len(given) // _EVERY


def _check(before: Progress, given: Class, record: Record) -> None:
    judged = replay(before, record, book())
    after, sign = judged.after, given.names[3].startswith("a sign")
    for name in _OWN:
        assert getattr(after, name) == getattr(before, name), name
    assert before.status != "review" or after.status == "review"
    if sign:
        assert after.status == "review", "a warning sign ends the day for every exercise"
    elif given.names[2] in ("at the limit", "over the limit", "severe") and given.names[4:6] == ("yes", "settled"):
        if judged.decision.status == "review" and judged.decision.move == "stop":
            assert after.status == "review", "severe pain, or a second stop, closes every exercise"
        else:
            assert after.status == before.status, "pain in a set ends that exercise alone"
    if record.checked_in_before:
        assert after.pains == before.pains, "the check-in is counted once"
        assert (after.high_check_ins, after.ratings) == (before.high_check_ins, before.ratings)


@pytest.mark.parametrize("goes_on", range(len(GOES_ON)))
def test_no_load_rises_where_that_of_another_has(goes_on: int) -> None:
    """With the rise taken, nothing else is decided than without, unless the load would rise: then it waits."""
    stood, given = list(states(4, 15)), list(answers(4, 15, **GOES_ON[goes_on]))
    for before, one in islice(product(stood, given), goes_on, None, _EVERY):
        free = advance(before, one.record, book())
        taken = advance(before, one.record.model_copy(update={"rise_taken": "other"}), book())
        assert not taken.decision.raises_load
        if free.decision.raises_load:
            assert (taken.decision.rule, taken.decision.load) == ("another_rises", one.record.rungs.step)
            assert taken.after.ready_sessions > before.ready_sessions, "it has waited for one session more"
        else:
            assert (taken.decision, taken.after) == (free.decision, free.after)


def test_the_rise_is_met_by_the_walk() -> None:
    """Of the classes in which the load rises, some are walked over."""
    clean = next(one for one in answers(4, 15, **GOES_ON[0]) if not one.bad)
    rising = [before for before in states(4, 15) if advance(before, clean.record, book()).decision.raises_load]
    assert rising
    for before in rising:
        taken = advance(before, clean.record.model_copy(update={"rise_taken": "other"}), book())
        assert (taken.decision.rule, taken.decision.raises_load) == ("another_rises", False)

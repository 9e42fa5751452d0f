"""Every class of state a client can stand in, and every class of answers they can give, as data."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from itertools import product
from typing import Any, get_args

from coach.model.progress import Progress
from coach.model.record import Record, Status
from tests.progression.cases import BLADE
from tests.progression.records import START, STEPS, session, standing

ONE_FAULT = {"set_1.slack": "yes"}
STATUSES: tuple[Status, ...] = get_args(Status)

# Answers: what is wrong in the form, the sets done, pain, what was named, and two to spare.
FORM: dict[str, dict[str, Any]] = {
    "clean": {},
    "one fault": ONE_FAULT,
    "not sure": {"set_2.elbow": "not_sure"},
    "left open": {"set_3.range": None},
    "too heavy": BLADE,
}
DONE: dict[str, Any] = {"all": None, "last set short": -1, "last set under": -20, "last set missing": 2, "none": 0}
PAIN: dict[str, dict[str, Any]] = {
    "none": {},
    "risen": {"pain_now": 3},
    "at the limit": {"set_1.pain": 5},
    "over the limit": {"set_1.pain": 6},
    "over the limit before": {"pain_now": 6},
    "not said": {"pain_now": None},
}
NAMED: dict[str, dict[str, Any]] = {
    "nothing": {},
    "a sign": {"sign": "numb_or_weak"},
    "a sign in a set": {"set_1.trouble": "gave_way"},
    "equipment": {"check.band_sound": "no"},
}
TWO_MORE: tuple[str | None, ...] = ("yes", "no", "not_sure")


@dataclass(frozen=True)
class Class:
    """One class of a session: the names of what is in it, and the record."""

    names: tuple[str, ...]
    record: Record

    @property
    def bad(self) -> bool:
        """Pain over the limit, a warning sign, a fault, an unknown answer, or a set not done."""
        form, done, pain, named, _ = self.names
        return form != "clean" or done != "all" or "over" in pain or pain == "not said" or named != "nothing"


def answers(load: int, goal: int, **record: Any) -> Iterator[Class]:
    """Every class of answers to a session at a load step and a goal."""
    for form, done, pain, named, two_more in product(FORM, DONE, PAIN, NAMED, TWO_MORE):
        last = DONE[done]
        sets = [goal] * 3 if last is None else [goal] * last if last >= 0 else [goal, goal, max(goal + last, 3)]
        given = {**FORM[form], **PAIN[pain], **NAMED[named], "two_more": two_more}
        made = session(goal=goal, load=load, done=sets, given=given, **record)
        yield Class((form, done, pain, named, str(two_more)), made)


LOADS = (0, 4, 9)
GOALS = (8, 13, 15)
GOES_ON: tuple[dict[str, Any], ...] = ({"positions": (0, 45)}, {"positions": (0,), "target_nm": 2.0})
STREAKS: tuple[dict[str, Any], ...] = (
    {},
    {"ready_sessions": 1},
    {"ready_sessions": 3, "under_sessions": 2},
    {"ready_sessions": 1, "falls": 1, "fell_from_nm": STEPS[1].mean_nm},
)
DAYS: tuple[dict[str, Any], ...] = (
    {"first_session": None, "last_session": None, "pain_before_last": None},
    {"days_ago": 0, "weeks": 4},
    {"days_ago": 2, "weeks": 1},
    {"days_ago": 2, "weeks": 5},
    {"days_ago": 20, "weeks": 13},
)
WORDS: tuple[dict[str, Any], ...] = (
    {},
    {"frozen": True},
    {"eased": True},
    {"position_cap_deg": 30},
    {"repaired_on": START.date() - timedelta(weeks=3)},
)


def states(load: int, goal: int) -> Iterator[Progress]:
    """Every class of state at a load step and a goal."""
    for status, streak, days, words in product(STATUSES, STREAKS, DAYS, WORDS):
        yield standing(load=load, repetitions=goal, status=status, **streak, **days, **words)

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
    "severe": {"set_2.pain": 8},
    "unknown size": {"set_1.trouble": "ache", "set_1.trouble_where": "upper_arm"},
    "unknown place": {"set_1.trouble": "ache", "set_1.trouble_pain": 1},
    "sharp and taken back": {"set_1.trouble": "sharp"},
    "small and known": {"set_1.trouble": "ache", "set_1.trouble_where": "upper_arm", "set_1.trouble_pain": 1},
}
# What was asked at the check-in about the time since the last session.
SINCE: dict[str, dict[str, Any]] = {
    "settled": {"check_in.settled": "hours"},
    "by the morning": {"check_in.settled": "morning"},
    "not settled": {"check_in.settled": "not_yet"},
    "masked": {"check_in.relief": "painkiller"},
    "an event": {"check_in.gap": "operation"},
}
# What held on the day of the session: nothing, or an irritable shoulder or a condition in its first days.
HELD: dict[str, str | None] = {"nothing": None, "irritable": "high_irritability", "condition": "stiffness"}
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
        """Nothing may rise: pain at the limit or unknown, a sign, a fault, an unknown answer, a set not done."""
        form, done, pain, named, _, since, held = self.names
        good = (form, done, named, since, held) == ("clean", "all", "nothing", "settled", "nothing")
        return not good or pain not in GOOD_PAIN

    @property
    def over(self) -> bool:
        """Pain over the limit."""
        return self.names[2] in ("over the limit", "over the limit before", "severe")


GOOD_PAIN = ("none", "risen", "small and known")


def answers(load: int, goal: int, **record: Any) -> Iterator[Class]:
    """Every class of answers to a session at a load step and a goal.

    What was asked about the time since the last session, and what held on the day, are combined with every answer to
    pain and every sign, and with clean form; the rest is combined with each other.
    """
    for form, done, pain, named, two_more in product(FORM, DONE, PAIN, NAMED, TWO_MORE):
        yield _class(load, goal, (form, done, pain, named, two_more, "settled", "nothing"), record)
    for pain, named, since, held in product(PAIN, NAMED, SINCE, HELD):
        if (since, held) != ("settled", "nothing"):
            yield _class(load, goal, ("clean", "all", pain, named, "yes", since, held), record)


def _class(load: int, goal: int, names: tuple[Any, ...], record: dict[str, Any]) -> Class:
    form, done, pain, named, two_more, since, held = names
    last = DONE[done]
    sets = [goal] * 3 if last is None else [goal] * last if last >= 0 else [goal, goal, max(goal + last, 3)]
    given = {**SINCE[since], **FORM[form], **PAIN[pain], **NAMED[named], "two_more": two_more}
    made = session(goal=goal, load=load, done=sets, given=given, **record)
    return Class(tuple(map(str, names)), made.model_copy(update={"held_by": HELD[held]}))


LOADS = (0, 4, 9)
GOALS = (8, 13, 15)
GOES_ON: tuple[dict[str, Any], ...] = ({"positions": ("0", "45")}, {"positions": ("0",), "target_nm": 2.0})
STREAKS: tuple[dict[str, Any], ...] = (
    {},
    {"ready_sessions": 1},
    {"ready_sessions": 3, "under_sessions": 2},
    {"ready_sessions": 1, "falls": 1, "fell_from_nm": STEPS[1].mean_nm},
)
DAYS: tuple[dict[str, Any], ...] = (
    {"first_session": None, "last_session": None},
    {"days_ago": 0, "weeks": 4},
    {"days_ago": 2, "weeks": 1},
    {"days_ago": 2, "weeks": 5},
    {"days_ago": 20, "weeks": 13},
    {"days_ago": 40, "weeks": 9},
    {"days_ago": 69, "weeks": 20},
)
WORDS: tuple[dict[str, Any], ...] = (
    {},
    {"frozen": True},
    {"eased": True},
    {"position_cap": "0"},
    {"repaired_on": START.date() - timedelta(weeks=3)},
    {"repaired_on": START.date() - timedelta(weeks=30)},
    {"usual_pain": 1, "worst_pain": 3, "high_check_ins": 2},
    {"usual_pain": 4, "usual_since": START.date() - timedelta(days=20)},
    {"pain_stops": (START.date() - timedelta(days=20),)},
    {"injection_on": START.date() - timedelta(days=5)},
)


def states(load: int, goal: int) -> Iterator[Progress]:
    """Every class of state at a load step and a goal."""
    for status, streak, days, words in product(STATUSES, STREAKS, DAYS, WORDS):
        yield standing(load=load, repetitions=goal, status=status, **streak, **days, **words)

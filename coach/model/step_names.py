"""Names of the steps of a session, as records store them.

A name is a group and, after a point, what is shown or asked: "set_2.pain". The steps of a group belong together.
"""

from functools import cache
from typing import Annotated

from coach.frozen import FormOnce, form

_FORM = form(r"^[a-z0-9_]+(?:\.[a-z0-9_]+)*$", max_length=100)
StepName = Annotated[str, _FORM]
StepNameOnce = Annotated[str, FormOnce(_FORM)]
"""A step as records have it, thousands of times."""

CHECK_IN = "check_in"
PAIN_NOW = "check_in.pain_now"
MORNING_AFTER = "check_in.morning_after"  # asked until SETTLED took its place; in older records
SIGN = "check_in.sign"
SETTLED = "check_in.settled"
GAP = "check_in.gap"
RELIEF = "check_in.relief"
NIGHT = "check_in.night"
NIGHT_PAIN = "night_pain"  # the sign that NIGHT asks about (SignName in model/content_entries.py)
ACTIVITY = "activity"
CHECK = "check"
TODAY = "today"
CAUTIONS = "cautions"
WARM_UP = "warm_up"
PLACE = "setup.place"
ARM = "setup.arm"
REACH = "reach"
BETWEEN = "between.rest"
CLOSING = "closing"

PAIN = "pain"
EFFORT = "effort"
TWO_MORE = "two_more"
PAIN_KEY = "pain_key"  # that it was pressed; what is wrong is said in the steps below
TROUBLE = "trouble"
TROUBLE_WHERE = "trouble_where"
TROUBLE_PAIN = "trouble_pain"
SKIP = "skip"
OTHER_BAND = "setup.band"
SETS_TODAY = "today.sets"
TELL_BY = "setup.tell_by"


def activity(number: int) -> str:
    """The step of one of the client's own activities, counted from 1."""
    return f"check_in.{ACTIVITY}_{number}"


def check(name: str) -> str:
    """The step of a check before the first repetition."""
    return f"{CHECK}.{name}"


def check_again(name: str, number: int) -> str:
    """The step of a check that is made again before a set, counted from 1, for which another band is taken up."""
    return f"{CHECK}.set_{number}.{name}"


def check_of(step: str) -> str:
    """The check that a step makes, before the first repetition or again."""
    return step.rpartition(".")[2]


def lesson(question: str) -> str:
    """The step that shows the fault of a form question."""
    return f"teach.{question}"


@cache
def in_set(number: int, what: str) -> str:
    """A step that belongs to one set, counted from 1."""
    return f"set_{number}.{what}"


def activity_number(step: str) -> int:
    """The number of the client's own activity that a step rates, counted from 1."""
    return int(step.rpartition("_")[2])


def group_of(step: str) -> str:
    """The group of a step: "set_2" of "set_2.pain"; the whole name if it has no point."""
    return step.partition(".")[0]


def within_group(step: str) -> str:
    """The part after the group: "pain" of "set_2.pain"; empty if the name has no point."""
    return step.partition(".")[2]

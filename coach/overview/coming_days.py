"""The days of the coming sessions: the client's own, else spread evenly over the week."""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import count

from coach.model.profile import WEEKDAYS, TrainingPlan
from coach.model.programme.due_days import DueDays

_WEEK_DAYS = 7


def own_plan_is_due(plan: TrainingPlan | None, today: date, limits: Mapping[str, float]) -> bool:
    """Whether the client is asked about the plan: there is none, or it is `plan_ask_days` old."""
    if plan is None or plan.on is None:
        return True
    return (today - plan.on).days >= limits["plan_ask_days"]


def coming_days(
    plan: TrainingPlan | None, due: DueDays, today: date, trained_on: Iterable[date] = ()
) -> Iterator[date]:
    """The days after today, without end: those that the client has chosen, and those that exercises have themselves.

    Where neither says all of them, any seven days hold as many as are due at most, those of `trained_on` included.
    Today counts as one where a session was or could still be done.
    """
    chosen = plan.days if plan is not None else ()
    if chosen or due.are_named:
        days = {WEEKDAYS.index(day) for day in (*chosen, *due.weekdays)}
        return (day for day in _days_from(today + timedelta(days=1)) if day.weekday() in days)
    return (day for day in _spread(due, today, trained_on) if day > today)


def _spread(due: DueDays, today: date, trained_on: Iterable[date]) -> Iterator[date]:
    """The days from today on that are far enough from those before them, or that an exercise has itself."""
    before = deque(sorted({day for day in trained_on if day <= today}), maxlen=due.a_week)
    for day in _days_from(today):
        if due.is_named(day) or _far_enough(day, before, due.a_week):
            before.append(day)
            yield day


def _far_enough(day: date, before: Sequence[date], days_a_week: int) -> bool:
    """Whether the last days, counted back from this one, are as far back as when spread evenly over the week."""
    counted_back = enumerate(reversed(before), 1)
    return all((day - earlier).days >= _WEEK_DAYS * number // days_a_week for number, earlier in counted_back)


def _days_from(first: date) -> Iterator[date]:
    return (first + timedelta(days=after) for after in count())

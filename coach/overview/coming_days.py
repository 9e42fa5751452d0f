"""The days of the coming sessions: the client's own, else spread evenly over the week."""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from coach.model.profile import WEEKDAYS, TrainingPlan

_WEEK_DAYS = 7


def own_plan_is_due(plan: TrainingPlan | None, today: date, limits: Mapping[str, float]) -> bool:
    """Whether the client is asked about the plan: there is none, or it is `plan_ask_days` old."""
    if plan is None or plan.on is None:
        return True
    return (today - plan.on).days >= limits["plan_ask_days"]


def coming_days(plan: TrainingPlan | None, days_a_week: int, today: date) -> Iterator[date]:
    """The days after today, without end."""
    own = {WEEKDAYS.index(day) for day in plan.days} if plan is not None else set()
    every = 1 if own else max(1, _WEEK_DAYS // days_a_week)
    day = today + timedelta(days=every)
    while True:
        if not own or day.weekday() in own:
            yield day
        day += timedelta(days=every)

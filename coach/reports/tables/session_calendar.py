"""The coming sessions as an iCalendar file (RFC 5545): nothing in it says what they are for."""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from itertools import takewhile

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.profile import TrainingPlan
from coach.overview.coming_days import coming_days

_SPAN = timedelta(weeks=4)


def session_calendar(
    profile: str,
    plan: TrainingPlan | None,
    days_a_week: int,
    minutes: int,
    content: Content,
    now: datetime,
    trained_on: Iterable[date] = (),
) -> bytes:
    """Four weeks of sessions from tomorrow on; at the client's time, or as entries of the whole day.

    Sessions of the last days, `trained_on`, count among those of their week.
    """
    import icalendar  # only this report needs it

    messages = content.messages.client.plan
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//Steady Arc//sessions//EN")
    calendar.add("version", "2.0")
    today = now.date()
    coming = coming_days(plan, days_a_week, today, trained_on)
    for day in takewhile(lambda day: day <= today + _SPAN, coming):
        event = icalendar.Event()
        event.add("uid", f"{profile}-{day.isoformat()}@steady-arc.invalid")
        event.add("dtstamp", now)
        event.add("summary", fill(messages.event, {"minutes": minutes}))
        start, end = _span(day, plan, minutes)
        event.add("dtstart", start)
        event.add("dtend", end)
        if plan is not None and plan.where is not None:
            event.add("location", plan.where)
        if plan is not None and plan.if_not is not None:
            event.add("description", fill(messages.if_not_line, {"if_not": plan.if_not}))
        calendar.add_component(event)
    written: bytes = calendar.to_ical()
    return written


def _span(day: date, plan: TrainingPlan | None, minutes: int) -> tuple[date, date]:
    """Start and end of an entry; times are local to wherever the client is."""
    if plan is None or plan.at is None:
        return day, day + timedelta(days=1)
    start = datetime.combine(day, time.fromisoformat(plan.at))
    return start, start + timedelta(minutes=minutes)

"""The coming sessions as an iCalendar file (RFC 5545): nothing in it says what they are for.

Where not every session has the same exercises, an entry names those of its day by their numbers in the programme.
"""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from itertools import takewhile

from babel.lists import format_list

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.profile import TrainingPlan
from coach.model.programme.due_days import DueDays, due_on
from coach.model.programme.programme import Programme
from coach.overview.coming_days import coming_days

_SPAN = timedelta(weeks=4)


def session_calendar(
    profile: str,
    plan: TrainingPlan | None,
    due: DueDays,
    minutes: int,
    content: Content,
    now: datetime,
    trained_on: Iterable[date] = (),
    programme: Programme | None = None,
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
    coming = coming_days(plan, due, today, trained_on)
    days = tuple(takewhile(lambda day: day <= today + _SPAN, coming))
    for day in days:
        event = icalendar.Event()
        event.add("uid", f"{profile}-{day.isoformat()}@steady-arc.invalid")
        event.add("dtstamp", now)
        event.add("summary", fill(messages.event, {"minutes": minutes}))
        start, end = _span(day, plan, minutes)
        event.add("dtstart", start)
        event.add("dtend", end)
        if plan is not None and plan.where is not None:
            event.add("location", plan.where)
        about = [_exercises(day, days, programme, content)]
        if plan is not None and plan.if_not is not None:
            about.append(fill(messages.if_not_line, {"if_not": plan.if_not}))
        if any(about):
            event.add("description", "\n".join(filter(None, about)))
        calendar.add_component(event)
    written: bytes = calendar.to_ical()
    return written


def _exercises(day: date, days: Iterable[date], programme: Programme | None, content: Content) -> str:
    """Which exercises a day has, by their numbers; empty where every day has the same."""
    if programme is None or len({due_on(programme, one) for one in days}) == 1:
        return ""
    numbers = [str(programme.names.index(name) + 1) for name in due_on(programme, day)]
    listed = format_list(numbers, locale=content.messages.language)
    values = {"count": len(numbers), "numbers": listed, "all": len(programme.names)}
    return fill(content.messages.client.plan.exercises_of_day, values)


def _span(day: date, plan: TrainingPlan | None, minutes: int) -> tuple[date, date]:
    """Start and end of an entry; times are local to wherever the client is."""
    if plan is None or plan.at is None:
        return day, day + timedelta(days=1)
    start = datetime.combine(day, time.fromisoformat(plan.at))
    return start, start + timedelta(minutes=minutes)

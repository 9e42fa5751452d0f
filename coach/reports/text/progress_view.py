"""The client's own view: their sessions as a dated list and curves, and what can be done now that could not before.

No points and no praise: only what was done and answered.
"""

from collections.abc import Iterator
from datetime import date

from coach.model.message_format import fill
from coach.model.messages.learning import ProgressMessages
from coach.model.profile import TrainingPlan
from coach.model.record import Record
from coach.overview.history_chart import ClientHistory, record_date
from coach.overview.history_charts import history_charts
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.history_plots import charts_text
from coach.reports.text.layout import paragraph
from coach.session.phrases import plan_line

_CHARTS = ("repetitions", "load", "pain", "activities")
_MOST = 12
_INDENT = "  "


def progress_text(history: ClientHistory, plan: TrainingPlan | None, no_session: str = "") -> str:
    """The whole view as text; first of all why no session may start now, where that is so."""
    messages = history.content.messages.client.progress
    lines = [fill(messages.title, {"profile": history.profile.name}), ""]
    lines += [no_session, ""] if no_session else []
    if not history.trained:
        return "\n".join(part for line in [*lines, messages.nothing] for part in _wrapped(line)) + "\n"
    lines += [messages.sessions, *(f"{_INDENT}{line}" for line in _sessions(history, messages)), ""]
    now = list(_now(history, messages))
    lines += [messages.now_title, *(f"{_INDENT}{line}" for line in now or [messages.not_yet]), ""]
    own = plan_line(plan, history.content)
    lines += [own, ""] if own else []
    charts = tuple(chart for chart in history_charts(history) if chart.name in _CHARTS and chart.series)
    curves = charts_text(charts, history.messages, history.profile.name) if charts else ""
    return "\n".join(line for one in lines for line in _wrapped(one)) + "\n" + curves


def _wrapped(line: str) -> list[str]:
    """A line of the view; one of a list is indented."""
    return paragraph(line.strip(), _INDENT if line.startswith(_INDENT) else "") or [""]


def _sessions(history: ClientHistory, messages: ProgressMessages) -> Iterator[str]:
    """The newest sessions, the latest last, each in a line."""
    weekdays = history.content.messages.client.end.weekday
    records = history.trained
    if len(records) > _MOST:
        yield fill(messages.earlier, {"number": len(records) - _MOST, "date": record_date(records[0]).isoformat()})
    for record in records[-_MOST:]:
        day: date = record_date(record)
        values = {
            "weekday": weekdays[day.weekday()],
            "date": day.isoformat(),
            "sets": len(record.sets_done),
            "repetitions": sum(done.repetitions for done in record.sets_done),
            "load": load_placeholders(record.current_rungs.step, history.content)["load"],
        }
        yield fill(messages.line, values)


def _now(history: ClientHistory, messages: ProgressMessages) -> Iterator[str]:
    """What has changed since the beginning: activities, repetitions, the load at the same position."""
    first, last = history.trained[0], history.trained[-1]
    ratings = history.now.ratings
    change = history.content.limit_values(history.prescription.limits)["activity_change"]
    if len(ratings) > 1 and ratings[-1].mean - ratings[0].mean >= change:
        activities = ", ".join(history.prescription.activities)
        yield fill(messages.activities, {"then": ratings[0].mean, "now": ratings[-1].mean, "what": activities})
    if first.exercise_position != last.exercise_position:
        yield messages.other_position
        return
    yield from _load_and_repetitions(first, last, messages)


def _load_and_repetitions(first: Record, last: Record, messages: ProgressMessages) -> Iterator[str]:
    """What is more and what is less at the same position: with less load there may be more repetitions."""
    was, now = first.current_rungs.step, last.current_rungs.step
    share = round((now.mean_nm / was.mean_nm - 1) * 100)
    if share:
        load = messages.load if share > 0 else messages.less_load
        yield fill(load, {"share": abs(share), "date": record_date(first).isoformat()})
    counts = [[done.repetitions for done in one.sets_done] for one in (first, last)]
    most, total = [max(each, default=0) for each in counts], [sum(each) for each in counts]
    if most[0] != most[1]:
        yield fill(messages.at_this_load if share else messages.repetitions, {"then": most[0], "now": most[1]})
    elif total[0] != total[1]:
        yield fill(messages.in_a_session, {"then": total[0], "now": total[1]})

"""The figures of an audit as text: all clients, then by position and by condition, and how long clients came."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby, pairwise
from typing import Any, get_args

from coach.drawing.plots.axes import numeric_axis, ticks
from coach.drawing.plots.plot import Line, Plot
from coach.drawing.plots.plot_rows import plot_lines
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.audit import AuditMessages, CountFigure, CourseFigure
from coach.model.messages.letter import ResultKind
from coach.overview.measurement import change_shown
from coach.overview.results.audit import HELD, NO_CONDITION, Figure
from coach.overview.results.suppression import coarse_curve
from coach.overview.text_columns import WIDTH
from coach.progression.decision_messages import rule_label
from coach.reports.text.layout import columns, heading, paragraph

_COURSE, _CHANGE, _COUNT = get_args(CourseFigure), get_args(ResultKind), get_args(CountFigure)
_PERCENT = ("kept", "at_tempo")
_PLOT_ROWS, _TICKS = 12, 8


def audit_text(
    folder: str, figures: Sequence[Figure], weeks: Mapping[int, int], least: float, content: Content
) -> str:
    """The report, at most 80 columns wide. `weeks` says how many clients came for so many whole weeks."""
    messages = content.messages.therapist.audit
    values = {"folder": folder, "least": f"{least:g}", "hidden": messages.hidden}
    everybody = next((one.clients for one in figures if (one.by, one.name) == ("all", "clients")), None)
    unreadable = next((one.clients or 0 for one in figures if one.name == "unreadable"), 0)
    lines = heading(fill(messages.title, {**values, "clients": messages.hidden if everybody is None else everybody}))
    lines += paragraph(fill(messages.none if everybody is None else messages.how, values))
    if unreadable:
        lines += paragraph(fill(messages.unreadable, {**values, "clients": unreadable}))
    if everybody is not None:
        for (by, group), of_group in groupby(figures, key=lambda one: (one.by, one.group)):
            lines += [*heading(_title(by, group, content)), *_group(list(of_group), content)]
        lines += _weeks(weeks, least, messages)
    return "\n".join(lines).strip("\n") + "\n"


def _title(by: str, group: str, content: Content) -> str:
    messages, conditions = content.messages.therapist.audit, content.messages.conditions.condition
    if by == "all":
        return messages.group_all
    if by == "position":
        return fill(messages.group_position, {"group": _position(group, content)})
    kind = conditions.get(group)
    name = messages.no_condition if group == NO_CONDITION else group if kind is None else kind.name
    return fill(messages.group_condition, {"group": name})


def _position(group: str, content: Content) -> str:
    """An exercise and its position, which the figures call by their names in the files."""
    exercise, _, position = group.rpartition(" ")
    known = content.messages.exercises.get(exercise)
    return f"{exercise if known is None else known.title}, {content.position_label(position, exercise)}"


def _group(figures: Sequence[Figure], content: Content) -> Iterator[str]:
    """Three tables: the course, what changed, and counts of clients."""
    messages = content.messages.therapist.audit
    tables = (
        (messages.count_columns, [_count(one, content) for one in figures if one.name in _COUNT]),
        (messages.course_columns, [_course(one, messages) for one in figures if one.name in _COURSE]),
        (messages.change_columns, [_change(one, messages) for one in figures if one.name in _CHANGE]),
    )
    for heads, rows in tables:
        if rows:
            yield from ("", *columns([tuple(map(str, heads)), *rows], messages.title))


def _count(one: Figure, content: Content) -> tuple[str, ...]:
    messages = content.messages.therapist.audit
    name: CountFigure = next(each for each in _COUNT if each == one.name)
    label = fill(messages.count[name], {"detail": _in_words(name, one.detail, content)})
    return label, messages.hidden if one.clients is None else str(one.clients)


def _in_words(name: CountFigure, detail: str, content: Content) -> str:
    """What is counted, in words: a status, a reason or a rule."""
    therapist = content.messages.therapist
    words: Mapping[CountFigure, Mapping[Any, str]] = {
        "status": {**therapist.decision_table.status, HELD: therapist.audit.held},
        "discharged": therapist.visit.reason,
        "skipped": content.messages.client.instead.reason,
    }
    return rule_label(detail, content) if name == "stopped" else words.get(name, {}).get(detail, detail)


def _course(one: Figure, messages: AuditMessages) -> tuple[str, ...]:
    name: CourseFigure = next(each for each in _COURSE if each == one.name)
    times = 100 if name in _PERCENT else 1
    return messages.course[name], _number(one.clients, messages), _value(one.mean, times), _value(one.sd, times)


def _change(one: Figure, messages: AuditMessages) -> tuple[str, ...]:
    kind: ResultKind = next(each for each in _CHANGE if each == one.name)
    label = fill(messages.change[kind], {"unit": one.unit})
    if one.measured is None:
        return (label, messages.hidden, *[""] * 7)
    first, last = _value(one.first), _value(one.last)
    values = (first, last, _value(change_shown(first, last)) if first and last else "", _value(one.sd))
    parts = (_number(count, messages) for count in (one.higher, one.lower, one.within))
    return (label, _number(one.clients, messages), *values, *parts)


def _number(count: int | None, messages: AuditMessages) -> str:
    return messages.hidden if count is None else str(count)


def _value(value: float | None, times: float = 1) -> str:
    return "" if value is None else f"{value * times:.2f}"


def _weeks(weeks: Mapping[int, int], least: float, messages: AuditMessages) -> Iterable[str]:
    """The curve of how many came for at least so many weeks, without the steps of a few people."""
    points = coarse_curve(weeks, least)
    if len(points) < 2:
        return []
    across, up = ticks(0, points[-1][0], _TICKS), ticks(0, points[0][1], _TICKS)
    steps = [(float(points[0][0]), float(points[0][1]))]
    for (_, before), (week, left) in pairwise(points):
        steps += [(float(week), float(before)), (float(week), float(left))]
    x_axis, y_axis = (numeric_axis(values, messages.title) for values in (across, up))
    return [
        *heading(messages.weeks_title),
        *plot_lines(Plot(x_axis, y_axis, lines=(Line(tuple(steps)),)), WIDTH, _PLOT_ROWS),
    ]

"""Charts of pain, range, strength and activities: a change within the error of measurement is marked as none."""

from collections.abc import Mapping, Sequence
from datetime import timedelta
from itertools import groupby, pairwise

from msgspec.structs import replace

from coach.model import step_names
from coach.model.base import Name
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import ErrorName, LaneName
from coach.model.option_names import Direction
from coach.model.record import Record
from coach.overview.history_chart import MARKS, Chart, ChartPoint, ClientHistory, Series, record_date
from coach.overview.measurement import change_shown, is_change, mark_changes

_SCALE = (0.0, 10.0)
_LEAST_HIGHEST = 2  # of 10: a lane is never lower, so that it shows that no higher value was reported
_LANES: dict[LaneName, tuple[str, str]] = {"morning_after": MARKS[2], "during": MARKS[1], "before": MARKS[0]}
# The limit that holds the error of each measure, and whether it is a fraction.
_ERRORS: dict[ErrorName, tuple[str, bool]] = {
    "pain": ("pain_error", False),
    "range": ("range_error_deg", False),
    "strength": ("strength_error", True),
    "activities": ("activity_change", False),
}


def pain_chart(history: ClientHistory) -> Chart:
    """Pain before a session, the worst during it and that of the morning after, 0 to 10.

    The morning after is asked about at the next check-in and shown on the day after the session.
    """
    records = [one.record for one in history.judged]
    after = [
        (record_date(earlier) + timedelta(days=1), record.answer(step_names.MORNING_AFTER))
        for earlier, record in pairwise(records)
    ]
    before = [(record_date(record), record.answer(step_names.PAIN_NOW)) for record in records]
    during = [(record_date(record), _worst(record)) for record in records]
    found: dict[LaneName, list[ChartPoint]] = {
        "morning_after": [(on, float(pain)) for on, pain in after if isinstance(pain, int)],
        "during": [(on, float(pain)) for on, pain in during if pain is not None],
        "before": [(on, float(pain)) for on, pain in before if isinstance(pain, int)],
    }
    rows, series = _lanes(history, {name: points for name, points in found.items() if points})
    return Chart("pain", history.title("pain"), series, _notes(history, "pain"), rows, history.days)


def _lanes(
    history: ClientHistory, found: Mapping[LaneName, Sequence[ChartPoint]]
) -> tuple[tuple[str, ...], tuple[Series, ...]]:
    """Each kind of pain in a lane of its own, so that the marks of one do not cover those of another.

    Returns the labels of the rows from the bottom, one for each value of a lane with an empty row between lanes,
    and the series from the top.
    """
    most = max([_LEAST_HIGHEST, *(int(pain) for points in found.values() for _, pain in points)])
    rows: list[str] = []
    series: list[Series] = []
    for name, points in found.items():
        rows += [""] if rows else []
        zero = len(rows) + 1
        rows += [*map(str, range(most)), f"{history.messages.lane[name]} {most}"]
        label = history.messages.series[name]
        series.append(_raised(_series(history, "pain", label, _LANES[name], points), zero))
    return tuple(rows), tuple(reversed(series))


def _raised(series: Series, rows: int) -> Series:
    """The series with its points so many rows higher."""
    raised = (tuple((on, value + rows) for on, value in some) for some in (series.points, series.within_error))
    points, within_error = raised
    return replace(series, points=points, within_error=within_error)


def range_chart(history: ClientHistory) -> Chart:
    """The available range in degrees or centimetres, as measured: a series for each direction and position."""
    measured = [((one.direction, one.position), (one.on, one.available_deg)) for one in history.profile.ranges]
    return _by_motion(history, "range", measured)


def strength_chart(history: ClientHistory) -> Chart:
    """Isometric strength in newton metres, or in newtons of a path: a series for each direction and position."""
    measured = [((one.direction, one.position), (one.on, one.load)) for one in history.profile.strengths]
    return _by_motion(history, "strength", measured)


def activities_chart(history: ClientHistory) -> Chart:
    """The mean of the client's own activities, each time they were rated."""
    points = [(one.on, one.mean) for one in history.now.ratings]
    series = (
        (_series(history, "activities", history.messages.series["rating"], MARKS[0], points, True),) if points else ()
    )
    return Chart("activities", history.title("activities"), series, _notes(history, "activities"), span=_SCALE)


def _by_motion(
    history: ClientHistory, name: ErrorName, measured: Sequence[tuple[tuple[Direction, Name], ChartPoint]]
) -> Chart:
    """A series for each direction and position, so that a change is one of a single motion.

    The direction is named only where the client was measured in both.
    """
    several = len({direction for (direction, _), _ in measured}) > 1
    series = []
    groups = groupby(sorted(measured), key=lambda one: one[0])
    for marks, (motion, group) in zip(MARKS, groups, strict=False):
        direction, position = motion
        label = history.motion_label(history.messages.direction[direction] if several else "", position)
        series.append(_series(history, name, label, marks, [point for _, point in group], True))
    return Chart(name, history.title(name), tuple(series), _notes(history, name))


def _series(
    history: ClientHistory,
    name: ErrorName,
    label: str,
    marks: tuple[str, str],
    points: Sequence[ChartPoint],
    joined: bool = False,
) -> Series:
    """A series of values: those that differ by the error or more, and the others.

    Where there are two or more, the label compares the last value with the first.
    """
    messages, (limit, relative) = history.messages, _ERRORS[name]
    error = _limits(history)[limit]
    marked = mark_changes(points, error, relative)
    first, last = points[0][1], points[-1][1]
    verdict = messages.real if is_change(first, last, error, relative) else messages.noise
    told = {"first": f"{first:.1f}", "last": f"{last:.1f}"}
    values = {"what": label, **told, "change": f"{change_shown(**told):+.1f}"}
    return Series(
        label=fill(messages.since_first, {**values, "verdict": verdict}) if len(points) > 1 else label,
        brief=label,
        mark=marks[0],
        hollow=marks[1],
        line=tuple(points) if joined else (),
        points=tuple((one.on, one.value) for one in marked if one.changed),
        within_error=tuple((one.on, one.value) for one in marked if not one.changed),
    )


def _notes(history: ClientHistory, name: ErrorName) -> tuple[str, ...]:
    """The meaning of the marks, and the source of the error of measurement."""
    limit, relative = _ERRORS[name]
    error = _limits(history)[limit] * (100 if relative else 1)
    source = next(one.source for one in history.content.limits if one.name == limit)
    of = fill(history.messages.error[name], {**history.units, "error": f"{error:g}"})
    return (fill(history.messages.filled, {"error": of}), fill(history.messages.source, {"source": source}))


def _limits(history: ClientHistory) -> dict[str, float]:
    return history.content.limit_values(history.prescription.limits)


def _worst(record: Record) -> int | None:
    """The worst pain reported in any set, after it or with the pain key; None if none was reported."""
    steps = [
        step_names.in_set(number, name)
        for number in range(1, record.dose.sets + 1)
        for name in (step_names.PAIN, step_names.TROUBLE_PAIN)
    ]
    reported = [answer for answer in map(record.answer, steps) if isinstance(answer, int)]
    return max(reported, default=None)

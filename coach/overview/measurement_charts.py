"""What the client said and what was measured, as series in which a change within the error is marked."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import groupby, pairwise

from coach.model import step_names
from coach.model.message_format import fill
from coach.model.messages.history_charts import ErrorName, LaneName
from coach.model.record import Record
from coach.overview.history_chart import Past, Picture, Point, Series, day_of
from coach.overview.measurement import is_change, measured

_SCALE = (0.0, 10.0)
_LEAST_HIGHEST = 2  # of 10: a lane that is never lower shows that nothing was said above it
_LANES: dict[LaneName, str] = {"morning_after": "M", "during": "D", "before": "B"}
# The limit that holds the error of each measure, and whether it is a fraction.
_ERRORS: dict[ErrorName, tuple[str, bool]] = {
    "pain": ("pain_error", False),
    "range": ("range_error_deg", False),
    "strength": ("strength_error", True),
    "activities": ("activity_change", False),
}


def pain_picture(past: Past) -> Picture:
    """The morning after, before, and at worst during; the morning after is asked at the next check-in."""
    records = [one.record for one in past.judged]
    after = [
        (day_of(earlier) + timedelta(days=1), record.answer(step_names.MORNING_AFTER))
        for earlier, record in pairwise(records)
    ]
    before = [(day_of(record), record.answer(step_names.PAIN_NOW)) for record in records]
    during = [(day_of(record), _worst(record)) for record in records]
    found: dict[LaneName, list[Point]] = {
        "morning_after": [(on, float(pain)) for on, pain in after if isinstance(pain, int)],
        "during": [(on, float(pain)) for on, pain in during if pain is not None],
        "before": [(on, float(pain)) for on, pain in before if isinstance(pain, int)],
    }
    rows, series = _lanes(past, {name: points for name, points in found.items() if points})
    return Picture("pain", past.title("pain"), series, _notes(past, "pain"), rows, past.days)


def _lanes(past: Past, found: Mapping[LaneName, Sequence[Point]]) -> tuple[tuple[str, ...], tuple[Series, ...]]:
    """Each kind of pain in a lane of its own, so that none covers another: a row for each value up to the highest of
    all, the lanes upward with a row between; the series as they stand from above."""
    most = max([_LEAST_HIGHEST, *(int(pain) for points in found.values() for _, pain in points)])
    rows: list[str] = []
    series: list[Series] = []
    for name, points in found.items():
        rows += [""] if rows else []
        zero = len(rows) + 1
        rows += [*map(str, range(most)), f"{past.words.lane[name]} {most}"]
        said = past.words.series[name]
        series.append(_raised(_series(past, "pain", said, _LANES[name], points), zero))
    return tuple(rows), tuple(reversed(series))


def _raised(series: Series, rows: int) -> Series:
    """The same points so many rows higher."""
    points, alike = (tuple((on, value + rows) for on, value in some) for some in (series.points, series.alike))
    return replace(series, points=points, alike=alike)


def range_picture(past: Past) -> Picture:
    """The available range as the therapist measured it, position by position."""
    found = sorted((one.position_deg, one.on, one.available_deg) for one in past.profile.ranges)
    return _by_position(past, "range", [(position, (on, value)) for position, on, value in found])


def strength_picture(past: Past) -> Picture:
    """Isometric strength: force times lever."""
    found = sorted((one.position_deg, one.on, one.force_n * one.lever_m) for one in past.profile.strengths)
    return _by_position(past, "strength", [(position, (on, value)) for position, on, value in found])


def activities_picture(past: Past) -> Picture:
    """The mean of the client's own activities, each time they were rated."""
    points = [(one.on, one.mean) for one in past.now.ratings]
    series = (_series(past, "activities", past.words.series["rating"], "A", points),) if points else ()
    return Picture("activities", past.title("activities"), series, _notes(past, "activities"), span=_SCALE)


def _by_position(past: Past, name: ErrorName, found: Sequence[tuple[int, Point]]) -> Picture:
    series = []
    for mark, (position_deg, group) in zip("ABCDEF", groupby(found, key=lambda one: one[0]), strict=False):
        said = fill(past.words.at_position, {"position_deg": position_deg})
        series.append(_series(past, name, said, mark, [point for _, point in group]))
    return Picture(name, past.title(name), tuple(series), _notes(past, name))


def _series(past: Past, name: ErrorName, said: str, mark: str, points: Sequence[Point]) -> Series:
    """The points told apart by the error, and in words the last against the first."""
    words, (limit, relative) = past.words, _ERRORS[name]
    error = _limits(past)[limit]
    told = measured(points, error, relative)
    first, last = points[0][1], points[-1][1]
    verdict = words.real if is_change(first, last, error, relative) else words.noise
    values = {"what": said, "first": f"{first:.1f}", "last": f"{last:.1f}", "change": f"{last - first:+.1f}"}
    return Series(
        said=fill(words.since_first, {**values, "verdict": verdict}) if len(points) > 1 else said,
        mark=mark,
        points=tuple((one.on, one.value) for one in told if one.changed),
        alike=tuple((one.on, one.value) for one in told if not one.changed),
    )


def _notes(past: Past, name: ErrorName) -> tuple[str, ...]:
    """What the letters mean, and where the error comes from."""
    limit, relative = _ERRORS[name]
    error = _limits(past)[limit] * (100 if relative else 1)
    source = next(one.source for one in past.content.limits if one.name == limit)
    of = fill(past.words.error[name], {"error": f"{error:g}"})
    return (fill(past.words.letters, {"error": of}), fill(past.words.source, {"source": source}))


def _limits(past: Past) -> dict[str, float]:
    return past.content.limit_values(past.prescription.limits)


def _worst(record: Record) -> int | None:
    """The worst pain of all sets, at the pain key too; None where none was said."""
    steps = [
        step_names.in_set(number, name)
        for number in range(1, record.dose.sets + 1)
        for name in (step_names.PAIN, step_names.TROUBLE_PAIN)
    ]
    said = [answer for answer in map(record.answer, steps) if isinstance(answer, int)]
    return max(said, default=None)

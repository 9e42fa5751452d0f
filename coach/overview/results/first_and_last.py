"""What was first and last measured or reported of a client, with the error of measurement."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import groupby
from statistics import median
from typing import TypeVar

from msgspec import Struct

from coach.model import step_names
from coach.model.base import Name, Side
from coach.model.exercise import LOAD_UNITS, coordinate_of
from coach.model.load_step import LoadStep
from coach.model.messages.letter import ResultKind, ResultUnit
from coach.model.option_names import Direction
from coach.model.profile import AvailableRange, Profile, Strength
from coach.model.progress import Rating
from coach.model.record import Record
from coach.overview.measurement import is_change
from coach.overview.visits.measured_again import Beyond, DatedValue
from coach.overview.visits.since_visit import ExerciseCourse

_Item = TypeVar("_Item")
_Measured = TypeVar("_Measured", AvailableRange, Strength)


class ResultPlace(Struct, frozen=True):
    """Where something was measured or trained; `exercise` is known of a load, `direction` of a measurement."""

    side: Side
    position: str
    direction: Direction | None = None
    exercise: Name | None = None


class Result(Struct, frozen=True):
    """One quantity, first and last; `last` is None where it was measured once.

    `error` is in its unit: a change is beyond it if it is as large or larger. None where no error is known.
    """

    kind: ResultKind
    unit: ResultUnit
    first: DatedValue
    last: DatedValue | None = None
    error: float | None = None
    place: ResultPlace | None = None

    @property
    def beyond(self) -> Beyond:
        """Whether the change is beyond the error."""
        if self.last is None or self.error is None:
            return "unknown"
        return "beyond" if is_change(self.first.value, self.last.value, self.error) else "within"


def results_of(
    profile: Profile, courses: Sequence[ExerciseCourse], ratings: Sequence[Rating], limits: Mapping[str, float]
) -> tuple[Result, ...]:
    """Everything that was measured, trained or reported of a client, on both sides.

    `profile` is as known after all visits. Pain is the median of the check-ins of the first and of the last
    `usual_days` days: single answers scatter by about as much as a change that matters.
    """
    return (
        *_ranges(profile, limits),
        *_strengths(profile, limits),
        *(one for course in courses for one in _loads(course)),
        *_pain(courses, limits),
        *_activities(ratings, limits),
    )


def first_and_last(values: Sequence[tuple[date, float]]) -> tuple[DatedValue, DatedValue | None]:
    """The values of the first and of the last day; None as the last where there is only one day.

    Of one day the last value counts: it corrects the others.
    """
    (first_on, first), *later = dict(values).items()
    if not later:
        return DatedValue(first, first_on), None
    last_on, last = later[-1]
    return DatedValue(first, first_on), DatedValue(last, last_on)


def _grouped(items: Sequence[_Item], key: Callable[[_Item], tuple[str, ...]]) -> Iterator[list[_Item]]:
    for _, group in groupby(sorted(items, key=key), key=key):
        yield list(group)


def _by_day(measured: Sequence[_Measured]) -> list[_Measured]:
    """Measurements in order; of one day the first in the profile comes last, which is that of the later visit."""
    ordered = list(reversed(measured))
    ordered.sort(key=lambda one: one.on)
    return ordered


def _ranges(profile: Profile, limits: Mapping[str, float]) -> Iterator[Result]:
    for group in _grouped(
        _by_day(profile.ranges), lambda one: (one.side or profile.side, one.direction, one.position)
    ):
        here, path = group[0], coordinate_of(group[0].direction) == "path"
        first, last = first_and_last([(one.on, one.available_deg) for one in group])
        place = ResultPlace(here.side or profile.side, here.position, here.direction)
        error = None if path else limits["range_error_deg"]  # the published error is one of degrees
        yield Result("range", "cm" if path else "degrees", first, last, error, place)


def _strengths(profile: Profile, limits: Mapping[str, float]) -> Iterator[Result]:
    for group in _grouped(
        _by_day(profile.strengths), lambda one: (one.side or profile.side, one.direction, one.position)
    ):
        here = group[0]
        first, last = first_and_last([(one.on, one.load) for one in group])
        place = ResultPlace(here.side or profile.side, here.position, here.direction)
        error = limits["strength_error"] * abs(first.value)
        yield Result("strength", LOAD_UNITS[coordinate_of(here.direction)], first, last, error, place)


def _loads(course: ExerciseCourse) -> Iterator[Result]:
    """The load of the first and of the last session in each position."""
    done = [one.record for one in course.judged if one.record.sets_done]
    for group in _grouped(done, lambda one: (one.position,)):
        by_day = list({one.started.date(): one.rungs.step for one in group}.items())
        first, last = (by_day[end][1] for end in (0, -1))
        days = first_and_last([(day, step.mean_nm) for day, step in by_day])
        place = ResultPlace(course.side, group[0].position, exercise=course.exercise)
        yield Result("load", first.load_unit, *days, _error_of_loads(first, last), place)


def _error_of_loads(first: LoadStep, last: LoadStep) -> float | None:
    """The half width of the interval of the difference, as if the errors of the two loads had nothing in common.

    What they have in common cancels, so that the true interval is not wider.
    """
    halves = [
        max(step.high_nm - step.mean_nm, step.mean_nm - step.low_nm)
        for step in (first, last)
        if step.low_nm is not None and step.high_nm is not None
    ]
    return (halves[0] ** 2 + halves[1] ** 2) ** 0.5 if len(halves) == 2 else None


def _pain(courses: Sequence[ExerciseCourse], limits: Mapping[str, float]) -> Iterator[Result]:
    pains = sorted(check_ins(one.record for course in courses for one in course.judged).items())
    if not pains:
        return
    window = timedelta(days=limits["usual_days"])
    began, ended = pains[0][0], pains[-1][0]
    first = float(median(pain for day, pain in pains if day - began < window))
    if ended - began < window:
        yield Result("pain", "of 10", DatedValue(first, began), error=limits["pain_error"])
        return
    last = float(median(pain for day, pain in pains if ended - day < window))
    yield Result("pain", "of 10", DatedValue(first, began), DatedValue(last, ended), limits["pain_error"])


def check_ins(records: "Iterator[Record]") -> dict[date, int]:
    """The pain of the last check-in of each day."""
    found: dict[date, int] = {}
    for record in sorted(records, key=lambda one: one.started):
        pain = record.answer(step_names.PAIN_NOW)
        if isinstance(pain, int):
            found[record.started.date()] = pain
    return found


def _activities(ratings: Sequence[Rating], limits: Mapping[str, float]) -> Iterator[Result]:
    rated = sorted({one.on: one.mean for one in ratings}.items())
    if rated:
        yield Result("activities", "of 10", *first_and_last(rated), limits["activity_change"])

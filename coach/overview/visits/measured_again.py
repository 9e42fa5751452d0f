"""What was measured at a visit beside what was known before, and what is beyond the error of measuring."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Literal

from msgspec import Struct

from coach.model.base import Side
from coach.model.exercise import LOAD_UNITS, coordinate_of
from coach.model.option_names import Direction
from coach.model.profile import Profile
from coach.model.programme.visit_file import VisitFile
from coach.overview.measurement import is_change

MeasuredKind = Literal["range", "passive", "strength", "test_pain"]
Beyond = Literal["beyond", "within", "unknown"]
Place = tuple[str, Direction, Side]
_SAME_RATER = "range_error_deg"
# The limit that holds the error of each measure, and whether it is a fraction of the value before.
_ERRORS: Mapping[MeasuredKind, tuple[str, bool]] = {
    "range": (_SAME_RATER, False),
    "passive": (_SAME_RATER, False),
    "strength": ("strength_error", True),
    "test_pain": ("pain_error", False),
}


class DatedValue(Struct, frozen=True):
    """A value, the day on which it was measured, and by whom, where that is known."""

    value: float
    on: date
    by: str | None = None


class MeasuredAgain(Struct, frozen=True):
    """One value of today with the newest one before it.

    `error` is in the unit of the value, None where none is known.
    The unit is degrees or cm for a range, Nm or N for a strength, and points of 10 for pain.
    """

    kind: MeasuredKind
    place: Place
    today: float
    unit: str
    before: DatedValue | None = None
    error: float | None = None

    @property
    def beyond(self) -> Beyond:
        """Whether the change is beyond the error of measurement."""
        if self.before is None or self.error is None:
            return "unknown"
        return "beyond" if is_change(self.before.value, self.today, self.error) else "within"


def measured_again(
    visit: VisitFile, profile: Profile, earlier: Sequence[VisitFile], limits: Mapping[str, float]
) -> tuple[MeasuredAgain, ...]:
    """Each value of a visit beside the one before it.

    `profile` is as it was known before the visit, on both sides; `earlier` are the visits before, in order.
    """
    return tuple(_compared(visit, before_visit(profile, earlier), limits))


def before_visit(profile: Profile, earlier: Sequence[VisitFile]) -> dict[tuple[MeasuredKind, Place], DatedValue]:
    """The newest value of each measure, by its kind and place."""
    found = dict[tuple[MeasuredKind, Place], DatedValue]()
    for one in sorted(profile.ranges, key=lambda one: one.on):
        place = (one.position, one.direction, one.side or profile.side)
        found["range", place] = DatedValue(one.available_deg, one.on)
    for strength in sorted(profile.strengths, key=lambda one: one.on):
        at = (strength.position, strength.direction, strength.side or profile.side)
        found["strength", at] = DatedValue(strength.load, strength.on)
    for visit in earlier:
        for kind, place, value in _values(visit):
            known = found.get((kind, place))
            if known is None or known.on <= visit.day:
                found[kind, place] = DatedValue(value, visit.day, visit.initials)
    return found


def _values(visit: VisitFile) -> Iterator[tuple[MeasuredKind, Place, float]]:
    """Every measured value of a visit."""
    for one in visit.ranges:
        yield from _given("range", one.place, one.active_deg)
        yield from _given("passive", one.place, one.passive_deg)
    for test in visit.strengths:
        yield "strength", test.place, test.load
        yield from _given("test_pain", test.place, test.pain)


def _given(kind: MeasuredKind, place: Place, value: float | None) -> Iterable[tuple[MeasuredKind, Place, float]]:
    return () if value is None else ((kind, place, float(value)),)


def _compared(
    visit: VisitFile, before: Mapping[tuple[MeasuredKind, Place], DatedValue], limits: Mapping[str, float]
) -> Iterator[MeasuredAgain]:
    for kind, place, value in _values(visit):
        earlier, (limit, relative) = before.get((kind, place)), _ERRORS[kind]
        if limit == _SAME_RATER and earlier is not None and earlier.by not in (None, visit.initials):
            limit = "range_error_others_deg"
        error: float | None = limits[limit]
        if relative:
            error = None if earlier is None or error is None else error * abs(earlier.value)
        if kind in ("range", "passive") and coordinate_of(place[1]) == "path":
            error = None  # the published error is one of degrees
        yield MeasuredAgain(kind, place, value, _unit(kind, place), earlier, error)


def _unit(kind: MeasuredKind, place: Place) -> str:
    """The unit of a value; of pain none."""
    coordinate = coordinate_of(place[1])
    if kind == "test_pain":
        return ""
    if kind == "strength":
        return LOAD_UNITS[coordinate]
    return "cm" if coordinate == "path" else "degrees"

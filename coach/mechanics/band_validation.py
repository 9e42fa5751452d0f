"""Validation of measured bands: a point out of line, a single point, two bands out of order."""

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from msgspec import Struct

from coach.mechanics.band import Rubber, elongation, fit, rubber_of, tension_n
from coach.model.band import BandGrade, BandPoint

# Bands are compared at twice their resting length: Santos GM et al., Rev Bras Fisioter 2009;13(6):521-526.
COMPARED_AT = 1.0


class Residual(Struct, frozen=True):
    """A measured point with the force that a fitted law gives at its length."""

    point: BandPoint
    elongation: float
    fitted_n: float

    @property
    def relative(self) -> float:
        """How far the measured force lies above the fitted one, as a fraction of the fitted."""
        return self.point.force_n / self.fitted_n - 1


class OutlyingPoint(Struct, frozen=True):
    """This point does not lie on the curve of the others."""

    grade: str
    residual: Residual


class BandsOutOfOrder(Struct, frozen=True):
    """The band listed as heavier does not pull harder, both at twice their resting length."""

    lighter: str
    heavier: str
    lighter_n: float
    heavier_n: float


class SinglePoint(Struct, frozen=True):
    """The curve of this band is a guess until a second length is measured."""

    grade: str


BandFinding = OutlyingPoint | BandsOutOfOrder | SinglePoint


def residuals(grade: BandGrade) -> tuple[Residual, ...]:
    """Every measured point of a band beside its fitted law, in the order of the file."""
    return tuple(_residual(rubber_of(grade), grade.resting_length_m, point) for point in grade.points)


def _residual(rubber: Rubber, resting_length_m: float, point: BandPoint) -> Residual:
    stretched = elongation(resting_length_m, point.length_m)
    return Residual(point, stretched, tension_n(rubber, resting_length_m, point.length_m))


def _largest(points: Sequence[BandPoint], resting_length_m: float) -> float:
    """The largest relative residual of points from their own law."""
    rubber = fit(points, resting_length_m)
    return max(abs(_residual(rubber, resting_length_m, point).relative) for point in points)


def outlying_points(grade: BandGrade, limit: float) -> tuple[Residual, ...]:
    """The points that do not lie on the curve of the others, each beside the law of the others.

    A wrong point bends the curve away from its good neighbours, so points are set aside one by one, each time the
    one without which the rest agree best, until the rest agree within the limit. Among three points or fewer nobody
    can say which one is wrong: then every point beyond the limit is given.
    """
    rest = grade.resting_length_m
    kept, aside = list(grade.points), list[BandPoint]()
    while _largest(kept, rest) > limit:
        if len(kept) <= 3:
            return tuple(residual for residual in residuals(grade) if abs(residual.relative) > limit)
        wrong = min(kept, key=lambda point: _largest([other for other in kept if other != point], rest))
        kept.remove(wrong)
        aside.append(wrong)
    others = fit(kept, rest)
    return tuple(_residual(others, rest, point) for point in aside)


def slipped_points(grade: BandGrade, limit: float) -> tuple[Residual, ...]:
    """Of the points that do not lie on the curve of the others, those that no band can have: slips in writing.

    The force is nearer to ten times the fitted one, or to a tenth of it, than to the fitted one; or a longer band of
    the same rubber pulls less.
    """
    return tuple(
        one for one in outlying_points(grade, limit) if _is_power_of_ten(one) or _falls(one.point, grade.points)
    )


def _is_power_of_ten(one: Residual) -> bool:
    return round(math.log10(one.point.force_n / one.fitted_n)) != 0


def _falls(point: BandPoint, points: Sequence[BandPoint]) -> bool:
    """Whether a longer point pulls less than this one, or a shorter one more."""
    return any((other.length_m - point.length_m) * (other.force_n - point.force_n) < 0 for other in points)


def validate_bands(bands: Sequence[BandGrade], limits: Mapping[str, float]) -> tuple[BandFinding, ...]:
    """Findings about the bands, which are listed lighter to heavier; reads the limit point_misfit_max."""
    found: list[BandFinding] = []
    for grade in bands:
        if rubber_of(grade).guess:
            found.append(SinglePoint(grade.name))
        found.extend(
            OutlyingPoint(grade.name, residual) for residual in outlying_points(grade, limits["point_misfit_max"])
        )
    for lighter, heavier in pairwise(bands):
        lighter_n = tension_n(rubber_of(lighter), 1.0, 1 + COMPARED_AT)
        heavier_n = tension_n(rubber_of(heavier), 1.0, 1 + COMPARED_AT)
        if heavier_n <= lighter_n:
            found.append(BandsOutOfOrder(lighter.name, heavier.name, lighter_n, heavier_n))
    return tuple(found)

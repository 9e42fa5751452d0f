"""What is doubtful about measured bands: a point out of line, too few points, two bands out of order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from coach.mechanics.band import Rubber, elongation, fit, rubber_of, tension_n
from coach.model.band import BandGrade, Point

# Bands are compared at twice their resting length: Santos GM et al., Rev Bras Fisioter 2009;13(6):521-526.
COMPARED_AT = 1.0


@dataclass(frozen=True)
class Misfit:
    """A measured point beside a fitted law."""

    point: Point
    elongation: float
    fitted_n: float

    @property
    def relative(self) -> float:
        """How far the measured force lies above the fitted one, as a fraction of the fitted."""
        return self.point.force_n / self.fitted_n - 1


@dataclass(frozen=True)
class OutOfLine:
    """A doubt: this point does not lie on the curve of the others."""

    grade: str
    misfit: Misfit


@dataclass(frozen=True)
class OutOfOrder:
    """A doubt: the band listed as heavier does not pull harder, both at twice their resting length."""

    lighter: str
    heavier: str
    lighter_n: float
    heavier_n: float


@dataclass(frozen=True)
class OnePoint:
    """A doubt: the curve of this band is a guess until a second length is measured."""

    grade: str


Doubt = OutOfLine | OutOfOrder | OnePoint


def misfits(grade: BandGrade) -> tuple[Misfit, ...]:
    """Every measured point of a band beside its fitted law, in the order of the file."""
    return tuple(_misfit(rubber_of(grade), grade.resting_length_m, point) for point in grade.points)


def _misfit(rubber: Rubber, resting_length_m: float, point: Point) -> Misfit:
    stretched = elongation(resting_length_m, point.length_m)
    return Misfit(point, stretched, tension_n(rubber, resting_length_m, point.length_m))


def _worst(points: Sequence[Point], resting_length_m: float) -> float:
    """The largest relative misfit of points to their own law."""
    rubber = fit(points, resting_length_m)
    return max(abs(_misfit(rubber, resting_length_m, point).relative) for point in points)


def out_of_line(grade: BandGrade, limit: float) -> tuple[Misfit, ...]:
    """The points that do not lie on the curve of the others, each beside the law of the others.

    A wrong point bends the curve away from its good neighbours, so points are set aside one by one, each time the
    one without which the rest agree best, until the rest agree within the limit. Among three points or fewer nobody
    can say which one is wrong: then every point beyond the limit is given.
    """
    rest = grade.resting_length_m
    kept, aside = list(grade.points), list[Point]()
    while _worst(kept, rest) > limit:
        if len(kept) <= 3:
            return tuple(misfit for misfit in misfits(grade) if abs(misfit.relative) > limit)
        wrong = min(kept, key=lambda point: _worst([other for other in kept if other != point], rest))
        kept.remove(wrong)
        aside.append(wrong)
    others = fit(kept, rest)
    return tuple(_misfit(others, rest, point) for point in aside)


def doubts(bands: Sequence[BandGrade], limits: Mapping[str, float]) -> tuple[Doubt, ...]:
    """What is doubtful about the bands, listed lighter to heavier; reads the limit point_misfit_max."""
    found: list[Doubt] = []
    for grade in bands:
        if rubber_of(grade).guess:
            found.append(OnePoint(grade.name))
        found.extend(OutOfLine(grade.name, misfit) for misfit in out_of_line(grade, limits["point_misfit_max"]))
    for lighter, heavier in pairwise(bands):
        lighter_n = tension_n(rubber_of(lighter), 1.0, 1 + COMPARED_AT)
        heavier_n = tension_n(rubber_of(heavier), 1.0, 1 + COMPARED_AT)
        if heavier_n <= lighter_n:
            found.append(OutOfOrder(lighter.name, heavier.name, lighter_n, heavier_n))
    return tuple(found)

"""The tension of a band, from points measured on the client's own bands.

The two-constant rubber law: T = a (s - 1/s^2) + b (1 - 1/s^3), with s = length / resting length and a, b >= 0.
Its shape is that of Mooney M, J Appl Phys 1940;11:582 and Rivlin RS, Phil Trans R Soc A 1948;241:379 (from memory)
for a strip in simple extension. A band is not a spring.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from coach.model.band import BandGrade, Point

# Bands are compared at twice their resting length: Santos GM et al., Rev Bras Fisioter 2009;13(6):521-526.
COMPARED_AT = 1.0

# Below this the two terms of the law cannot be told apart from the points, and one constant stands for both.
_ALIKE = 1e-9


@dataclass(frozen=True)
class Rubber:
    """The two constants of one strand, in newtons, and how well they are known."""

    a_n: float
    b_n: float
    guess: bool
    """True where the points cannot tell the two constants apart, so that b = 0 was assumed."""
    measured_to: float
    """The longest measured elongation; beyond it a tension is extrapolated."""


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


def fit(points: Sequence[Point], resting_length_m: float) -> Rubber:
    """The two constants that fit the points of one strand, by non-negative least squares.

    Raises ValueError without a point or with one that is not stretched.
    """
    if not points:
        raise ValueError("no measured point: pull the band on a scale and note its length and the force")
    rows: list[tuple[float, float, float]] = []
    for point in points:
        s = point.length_m / resting_length_m
        if s <= 1:
            raise ValueError(
                f"a point at {point.length_m} m is not longer than the resting length of {resting_length_m} m: "
                "measure the force of a stretched band"
            )
        rows.append((*_terms(s), point.force_n))
    a, b, guess = _non_negative(rows)
    return Rubber(a, b, guess, max(point.length_m for point in points) / resting_length_m - 1)


def rubber_of(grade: BandGrade) -> Rubber:
    """The fitted law of a band on the shelf."""
    return fit(grade.points, grade.resting_length_m)


def _terms(s: float) -> tuple[float, float]:
    """What a and b are multiplied with at stretch s."""
    return s - 1 / (s * s), 1 - 1 / (s * s * s)


def _non_negative(rows: Sequence[tuple[float, float, float]]) -> tuple[float, float, bool]:
    """The least-squares a and b that are not negative, and whether the rows could not tell them apart."""
    pp = math.fsum(p * p for p, _, _ in rows)
    qq = math.fsum(q * q for _, q, _ in rows)
    pq = math.fsum(p * q for p, q, _ in rows)
    pf = math.fsum(p * force for p, _, force in rows)
    qf = math.fsum(q * force for _, q, force in rows)
    apart = pp * qq - pq * pq
    if apart <= _ALIKE * pp * qq:
        return pf / pp, 0.0, True
    a, b = (pf * qq - qf * pq) / apart, (qf * pp - pf * pq) / apart
    if a >= 0 and b >= 0:
        return a, b, False
    # The sum of squares is convex, so its least value with a, b >= 0 lies on an edge: the edge that explains more.
    return (pf / pp, 0.0, False) if pf * pf / pp > qf * qf / qq else (0.0, qf / qq, False)


def strand_m(resting_length_m: float, strands: int) -> float:
    """Resting length of one strand: a band looped round the anchor with both ends in the hand has two halves."""
    return resting_length_m / strands


def elongation(resting_length_m: float, length_m: float, strands: int = 1) -> float:
    """Stretch beyond the resting length as a fraction of it; negative where the band hangs slack."""
    return length_m / strand_m(resting_length_m, strands) - 1


def extrapolated(rubber: Rubber, elongation: float) -> bool:
    """Whether a tension at this elongation lies beyond the measured points.

    The resting length is itself a measured point, of no force, so nothing is extrapolated below the shortest one.
    """
    return elongation > rubber.measured_to


def tension_n(rubber: Rubber, resting_length_m: float, length_m: float, strands: int = 1) -> float:
    """The pull on the hand of a band `length_m` long from anchor to hand, all strands together; 0 where slack."""
    s = length_m * strands / resting_length_m
    if s <= 1:
        return 0.0
    square = s * s
    return strands * (rubber.a_n * (s - 1 / square) + rubber.b_n * (1 - 1 / (square * s)))


def energy_j(rubber: Rubber, resting_length_m: float, length_m: float, strands: int = 1) -> float:
    """The energy stored in the band, the integral of its tension from rest to `length_m`; 0 where slack."""
    s = length_m * strands / resting_length_m
    if s <= 1:
        return 0.0
    # Each strand stores (resting / strands) x integral ds, and there are `strands` of them.
    stored = rubber.a_n * (s * s / 2 + 1 / s - 1.5) + rubber.b_n * (s + 1 / (2 * s * s) - 1.5)
    return resting_length_m * stored


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

"""The tension of a band, from points measured on the client's own bands.

The two-constant rubber law: T = a (s - 1/s^2) + b (1 - 1/s^3), with s = length / resting length and a, b >= 0.
Its shape is that of Mooney M, J Appl Phys 1940;11:582 and Rivlin RS, Phil Trans R Soc A 1948;241:379 (from memory)
for a strip in simple extension. A band is not a spring.
"""

import math
from collections.abc import Sequence
from operator import mul

from msgspec import Struct

from coach.model.band import BandGrade, BandPoint

# Below this the two terms of the law cannot be told apart from the points, and their published ratio stands in.
_ALIKE = 1e-9

# b over a: 1.50 in the law fitted to ten points of a flat band (Uchida MC et al., J Phys Ther Sci 2016;28(4):
# 1266-1271, second hand), 1.38 in that of vulcanised rubber (Treloar LRG, Trans Faraday Soc 1944;40:59-70, second
# hand).
RATIO = 1.5


class Rubber(Struct, frozen=True):
    """The two constants of one strand, in newtons, and how well they are known."""

    a_n: float
    b_n: float
    guess: bool
    """True where the points cannot tell the two constants apart, so that their published ratio was assumed."""
    measured_to: float
    """The longest measured elongation; beyond it a tension is extrapolated."""


def fit(points: Sequence[BandPoint], resting_length_m: float) -> Rubber:
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
        rows.append((*terms(s), point.force_n))
    a, b, guess = fit_rows(rows)
    return Rubber(a, b, guess, max(point.length_m for point in points) / resting_length_m - 1)


def rubber_of(grade: BandGrade) -> Rubber:
    """The fitted law of a band on the shelf."""
    return fit(grade.points, grade.resting_length_m)


def terms(s: float) -> tuple[float, float]:
    """What a and b are multiplied with at stretch s, to give the tension of one strand."""
    return s - 1 / (s * s), 1 - 1 / (s * s * s)


def terms_along(stretches: Sequence[float]) -> tuple[list[float], list[float]]:
    """`terms` at each of many stretches: the terms of a, and those of b."""
    squares = [s * s for s in stretches]
    first = [s - 1 / square for s, square in zip(stretches, squares, strict=True)]
    return first, [1 - 1 / (square * s) for s, square in zip(stretches, squares, strict=True)]


def fit_rows(rows: Sequence[tuple[float, float, float]]) -> tuple[float, float, bool]:
    """The least-squares a and b that are not negative, and whether the rows could not tell them apart.

    Each row holds what a and b are multiplied with, and the force in newtons.
    """
    return fit_columns(*zip(*rows, strict=True))


def fit_columns(ps: Sequence[float], qs: Sequence[float], forces: Sequence[float]) -> tuple[float, float, bool]:
    """As `fit_rows`, of all first numbers of the rows, all second ones and all forces."""
    pp, qq, pq = math.fsum(map(mul, ps, ps)), math.fsum(map(mul, qs, qs)), math.fsum(map(mul, ps, qs))
    pf, qf = math.fsum(map(mul, ps, forces)), math.fsum(map(mul, qs, forces))
    apart = pp * qq - pq * pq
    if apart <= _ALIKE * pp * qq:
        a = (pf + RATIO * qf) / (pp + 2 * RATIO * pq + RATIO * RATIO * qq)
        return a, RATIO * a, True
    a, b = (pf * qq - qf * pq) / apart, (qf * pp - pf * pq) / apart
    if a >= 0 and b >= 0:
        return a, b, False
    # The sum of squares is convex, so its least value with a, b >= 0 lies on an edge: the edge that explains more.
    return (pf / pp, 0.0, False) if pf * pf / pp > qf * qf / qq else (0.0, qf / qq, False)


def share_of_second_term(
    ps: Sequence[float], qs: Sequence[float], forces: Sequence[float], share: float
) -> tuple[float, float]:
    """The a and b with which the second term gives this share of the force, from 0 to 1, at the only point."""
    (p,), (q,), (force,) = ps, qs, forces
    return (1 - share) * force / p, share * force / q


def elongation(resting_length_m: float, length_m: float, strands: int = 1) -> float:
    """Stretch beyond the resting length as a fraction of it; negative where the band hangs slack.

    A band looped round the anchor with both ends in the hand has two strands, each of half its resting length.
    """
    return length_m / (resting_length_m / strands) - 1


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
    p, q = energy_terms(s)
    # Each strand stores (resting / strands) x integral ds, and there are `strands` of them.
    return resting_length_m * (rubber.a_n * p + rubber.b_n * q)


def energy_terms(s: float) -> tuple[float, float]:
    """The integrals of the two terms of the law from rest to stretch s; zero where slack."""
    if s <= 1:
        return 0.0, 0.0
    return s * s / 2 + 1 / s - 1.5, s + 1 / (2 * s * s) - 1.5

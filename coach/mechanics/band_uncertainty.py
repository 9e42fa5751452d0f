"""How well the fitted law of a band is known: first-order propagation of the errors of measuring it.

JCGM 100:2008 (GUM), 5.1 and F.1.2.3: the errors of scale, tape and resting length are independent of one another, and
each of the fitted constants depends on all of them, so the constants are correlated with each other and with the
resting length. The derivatives are exact, from the normal equations of the fit.

A band also ages: what its use since it was measured may have taken from its tension is one more error, common to all
tensions of the band.
"""

import math
from collections.abc import Mapping

from msgspec import Struct

from coach.mechanics.band import RATIO, Rubber, rubber_of, terms
from coach.model.band import BandGrade

Triple = tuple[float, float, float]


class BandUncertainty(Struct, frozen=True):
    """The fitted law of one strand with the factor of the covariance of (a, b, resting length).

    Each of the three columns in `factor` is what one standard uncertainty of an independent error does to the
    constants in newtons and to the resting length in metres; the covariance is the sum of their outer products.
    """

    rubber: Rubber
    resting_length_m: float
    factor: tuple[Triple, Triple, Triple]

    @property
    def covariance(self) -> tuple[Triple, Triple, Triple]:
        """The covariance matrix of (a, b, resting length), in N and m."""
        return _matrix([[sum(c[i] * c[j] for c in self.factor) for j in range(3)] for i in range(3)])


def band_uncertainty(grade: BandGrade, limits: Mapping[str, float]) -> BandUncertainty:
    """The law of a band and its uncertainty, from its measured points.

    Reads the limits u_scale_n, u_point_length_m and u_resting_length_m: standard uncertainties. A constant that the
    fit put on its bound of zero is taken as exact.
    """
    rubber, rest = rubber_of(grade), grade.resting_length_m
    rows = [_Row.of(point.length_m / rest, point.force_n) for point in grade.points]
    free = (rubber.a_n > 0, rubber.b_n > 0)
    pp = math.fsum(row.p * row.p for row in rows)
    qq = math.fsum(row.q * row.q for row in rows)
    pq = math.fsum(row.p * row.q for row in rows)
    inverse = _inverse_of_ratio(pp, pq, qq) if rubber.guess else _inverse(pp, pq, qq, free)
    per_force = [_times(inverse, row.p, row.q) for row in rows]
    per_stretch = [_times(inverse, *row.normal_change(rubber)) for row in rows]
    u_force, u_length, u_rest = limits["u_scale_n"], limits["u_point_length_m"], limits["u_resting_length_m"]
    columns = [(u_force * a, u_force * b, 0.0) for a, b in per_force]
    columns += [(u_length / rest * a, u_length / rest * b, 0.0) for a, b in per_stretch]
    by_rest = [
        math.fsum(-row.s / rest * change[i] for row, change in zip(rows, per_stretch, strict=True)) for i in (0, 1)
    ]
    columns.append((u_rest * by_rest[0], u_rest * by_rest[1], u_rest))
    covariance = [[math.fsum(c[i] * c[j] for c in columns) for j in range(3)] for i in range(3)]
    return BandUncertainty(rubber, rest, _cholesky(covariance))


def age_uncertainty(repetitions: float, limits: Mapping[str, float]) -> float:
    """The standard uncertainty of a band's tension from its use since it was measured, a fraction of the tension.

    `repetitions` are those to twice its resting length that would age it as much. Reads u_band_age, that of a
    thousand of them; it grows with their square root.
    """
    return limits["u_band_age"] * math.sqrt(repetitions / 1000)


class _Row(Struct, frozen=True):
    """One measured point as a row of the fit: stretch, force, the two terms of the law and their slopes."""

    s: float
    force_n: float
    p: float
    q: float
    dp: float
    dq: float

    @classmethod
    def of(cls, s: float, force_n: float) -> "_Row":
        p, q = terms(s)
        return cls(s, force_n, p, q, 1 + 2 / s**3, 3 / s**4)

    def normal_change(self, rubber: Rubber) -> tuple[float, float]:
        """The change of the right side less that of the left side of the normal equations, for a unit of stretch."""
        cross = self.dp * self.q + self.p * self.dq
        return (
            self.dp * self.force_n - 2 * self.p * self.dp * rubber.a_n - cross * rubber.b_n,
            self.dq * self.force_n - cross * rubber.a_n - 2 * self.q * self.dq * rubber.b_n,
        )


def _inverse(pp: float, pq: float, qq: float, free: tuple[bool, bool]) -> Triple:
    """The inverse of the symmetric matrix of the normal equations as (aa, ab, bb), over the free constants alone."""
    if free == (True, True):
        det = pp * qq - pq * pq
        return qq / det, -pq / det, pp / det
    return (1 / pp if free[0] else 0.0), 0.0, (1 / qq if free[1] else 0.0)


def _inverse_of_ratio(pp: float, pq: float, qq: float) -> Triple:
    """The same where b is a fixed multiple of a."""
    norm = pp + 2 * RATIO * pq + RATIO * RATIO * qq
    return 1 / norm, RATIO / norm, RATIO * RATIO / norm


def _times(inverse: Triple, first: float, second: float) -> tuple[float, float]:
    aa, ab, bb = inverse
    return aa * first + ab * second, ab * first + bb * second


def _cholesky(covariance: list[list[float]]) -> tuple[Triple, Triple, Triple]:
    """The columns of a lower triangular factor of a positive semidefinite matrix."""
    factor = [[0.0] * 3 for _ in range(3)]  # factor[column][row]
    for column in range(3):
        left = covariance[column][column] - sum(factor[k][column] ** 2 for k in range(column))
        if left <= 1e-14 * covariance[column][column]:
            continue
        root = math.sqrt(left)
        for row in range(column, 3):
            rest = covariance[row][column] - sum(factor[k][row] * factor[k][column] for k in range(column))
            factor[column][row] = rest / root
    return _matrix(factor)


def _matrix(rows: list[list[float]]) -> tuple[Triple, Triple, Triple]:
    first, second, third = ((row[0], row[1], row[2]) for row in rows)
    return first, second, third

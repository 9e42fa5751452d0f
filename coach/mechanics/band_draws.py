"""The law of a band fitted again to fixed draws of its readings, where first-order propagation is not enough.

JCGM 101:2008, propagation of distributions: used where a constant of the fit lies on its bound of zero or so near it
that the bound cuts its distribution, and where one point alone cannot tell the two terms of the law apart. The draws
are a Latin hypercube: every error takes each of its equally likely values once, in an order of its own. They are the
same on every machine and at every start.
"""

from collections.abc import Mapping
from functools import cache, lru_cache
from statistics import NormalDist

from coach.mechanics.band import fit_columns, rubber_of, share_of_second_term, terms_along
from coach.mechanics.band_uncertainty import BandUncertainty, Triple
from coach.model.band import BandGrade

NORMAL = NormalDist()
DRAWS = 400
_NEAR_BOUND = 2.0  # standard uncertainties: nearer to zero, more than one draw in forty would lie beyond the bound
_MASK = 2**64 - 1


def needs_draws(band: BandUncertainty) -> bool:
    """Whether the constants of this band are guessed, or lie on or near their bound."""
    covariance, rubber = band.covariance, band.rubber
    u_a, u_b = covariance[0][0] ** 0.5, covariance[1][1] ** 0.5
    return rubber.guess or rubber.a_n <= _NEAR_BOUND * u_a or rubber.b_n <= _NEAR_BOUND * u_b


def band_draws(grade: BandGrade, limits: Mapping[str, float], order: int) -> tuple[Triple, ...]:
    """What each draw of all readings adds to a and b, in newtons, and to the resting length, in metres.

    `order` is the place of the band on the shelf: each band has draws of its own. Reads the limits u_scale_n,
    u_point_length_m and u_resting_length_m. With one point the share of the second term
    of the law is drawn as well, any from 0 to 1 as likely as another.
    """
    rubber, rest = rubber_of(grade), grade.resting_length_m
    u_rest, u_length, u_force = limits["u_resting_length_m"], limits["u_point_length_m"], limits["u_scale_n"]
    rests = [rest + u_rest * one for one in _errors(order, 0)]
    points: list[tuple[list[float], list[float], list[float]]] = []
    for index, point in enumerate(grade.points):
        lengths = [point.length_m + u_length * one for one in _errors(order, 2 + 2 * index)]
        forces = [max(point.force_n + u_force * one, 0.0) for one in _errors(order, 3 + 2 * index)]
        stretches = [max(length / drawn, 1.0 + 1e-6) for length, drawn in zip(lengths, rests, strict=True)]
        points.append((*terms_along(stretches), forces))
    # Of all draws the points side by side: the first terms of each draw, the second terms, and the forces.
    columns = (zip(*column, strict=True) for column in zip(*points, strict=True))
    if rubber.guess:
        shares = map(NORMAL.cdf, _errors(order, 1))
        fitted = [share_of_second_term(*row) for row in zip(*columns, shares, strict=True)]
    else:
        fitted = [fit_columns(*row)[:2] for row in zip(*columns, strict=True)]
    changes = zip(fitted, rests, strict=True)
    return tuple([(a - rubber.a_n, b - rubber.b_n, drawn - rest) for (a, b), drawn in changes])


def _errors(band: int, column: int) -> tuple[float, ...]:
    """Standard normal numbers for one error of a band, one for each draw."""
    return normal_scores(1 + 100 * band + column)


@cache
def _scores_in_order() -> tuple[float, ...]:
    return tuple(NORMAL.inv_cdf((index + 0.5) / DRAWS) for index in range(DRAWS))


@lru_cache(maxsize=128)
def normal_scores(order: int) -> tuple[float, ...]:
    """The DRAWS equally likely values of a standard normal number, in an order that depends on `order` alone."""
    scores = list(_scores_in_order())
    state = order * 0x9E3779B97F4A7C15 & _MASK
    for last in range(DRAWS - 1, 0, -1):  # Fisher-Yates, with the generator SplitMix64 (Steele, Lea, Flood 2014)
        state = (state + 0x9E3779B97F4A7C15) & _MASK
        mixed = (state ^ (state >> 30)) * 0xBF58476D1CE4E5B9 & _MASK
        mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EB & _MASK
        other = (mixed ^ (mixed >> 31)) % (last + 1)
        scores[last], scores[other] = scores[other], scores[last]
    return tuple(scores)

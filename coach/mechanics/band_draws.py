"""The law of a band fitted again to fixed draws of its readings, where first-order propagation is not enough.

JCGM 101:2008, propagation of distributions: used where a constant of the fit lies on its bound of zero or so near it
that the bound cuts its distribution, and where one point alone cannot tell the two terms of the law apart. The draws
are a Latin hypercube: every error takes each of its equally likely values once, in an order of its own. They are the
same on every machine and at every start.
"""

from collections.abc import Mapping
from functools import cache, lru_cache
from statistics import NormalDist

from coach.mechanics.band import fit_rows, rubber_of, share_of_second_term, terms
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
    found: list[Triple] = []
    for row in _normal_rows(order, 2 * len(grade.points) + 2):
        drawn_rest = rest + limits["u_resting_length_m"] * row[0]
        rows = []
        for index, point in enumerate(grade.points):
            length = point.length_m + limits["u_point_length_m"] * row[2 + 2 * index]
            force = max(point.force_n + limits["u_scale_n"] * row[3 + 2 * index], 0.0)
            rows.append((*terms(max(length / drawn_rest, 1.0 + 1e-6)), force))
        if rubber.guess:
            a, b = share_of_second_term(rows, NORMAL.cdf(row[1]))
        else:
            a, b, _ = fit_rows(rows)
        found.append((a - rubber.a_n, b - rubber.b_n, drawn_rest - rest))
    return tuple(found)


@lru_cache(maxsize=8)
def _normal_rows(band: int, errors: int) -> tuple[tuple[float, ...], ...]:
    """Standard normal numbers, one row a draw and one column an error."""
    return tuple(zip(*(normal_scores(1 + 100 * band + column) for column in range(errors)), strict=True))


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

"""The law of a band fitted again to fixed draws of its readings, where first-order propagation is not enough.

JCGM 101:2008, propagation of distributions: used where a constant of the fit lies on its bound of zero or so near it
that the bound cuts its distribution, and where one point alone cannot tell the two terms of the law apart. The draws
are a Latin hypercube: every error takes each of its equally likely values once, in an order of its own. They are the
same on every machine and at every start.
"""

from collections.abc import Mapping
from functools import cache, lru_cache
from statistics import NormalDist
from struct import Struct

from coach.mechanics.band import fit_columns, rubber_of, share_of_second_term, terms_along
from coach.mechanics.band_uncertainty import BandUncertainty, Triple
from coach.model.band import BandGrade

NORMAL = NormalDist()
DRAWS = 400
_NEAR_BOUND = 2.0  # standard uncertainties: nearer to zero, more than one draw in forty would lie beyond the bound
_MASK = 2**64 - 1
_GOLDEN = 0x9E3779B97F4A7C15
_LANES = Struct("<" + "Q8x" * (DRAWS - 1))


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
    for last, mixed in zip(range(DRAWS - 1, 0, -1), _numbers(order), strict=True):  # Fisher-Yates
        other = mixed % (last + 1)
        scores[last], scores[other] = scores[other], scores[last]
    return tuple(scores)


def _numbers(order: int) -> tuple[int, ...]:
    """One number of the generator SplitMix64 (Steele, Lea, Flood 2014) less than there are draws.

    All are computed at once: each is 64 bits of one long integer, with 64 more for its products. One after another
    they took a fiftieth of the time to the first screen.
    """
    ones, numbers, steps = _lanes()
    mixed = (steps + ones * (order * _GOLDEN & _MASK)) & numbers
    mixed = (mixed ^ (mixed >> 30) & numbers) * 0xBF58476D1CE4E5B9 & numbers
    mixed = (mixed ^ (mixed >> 27) & numbers) * 0x94D049BB133111EB & numbers
    mixed ^= (mixed >> 31) & numbers
    return _LANES.unpack(mixed.to_bytes(_LANES.size, "little"))


@cache
def _lanes() -> tuple[int, int, int]:
    """One long integer each with 1 for each number, with all its bits, and with its steps of the generator."""
    ones = int.from_bytes(_LANES.pack(*[1] * (DRAWS - 1)), "little")
    steps = _LANES.pack(*[step * _GOLDEN & _MASK for step in range(1, DRAWS)])
    return ones, ones * _MASK, int.from_bytes(steps, "little")

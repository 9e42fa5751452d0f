"""The fit of a band's points, and what is said about doubtful ones."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.optimize import nnls

from coach.mechanics.band import RATIO, Rubber, elongation, extrapolated, fit, rubber_of, tension_n
from coach.mechanics.band_validation import BandsOutOfOrder, OutlyingPoint, SinglePoint, residuals, validate_bands
from coach.model.band import BandGrade, BandPoint
from tests.mechanics.clients import LIMITS, grade, three_grades

constants = some.floats(0, 40)
rubbers = some.builds(Rubber, constants, constants, some.just(False), some.just(1.0))
stretches = some.floats(1.02, 3.5)
pulls = some.lists(
    some.tuples(stretches, some.floats(1, 200)), min_size=2, max_size=8, unique_by=lambda pull: pull[0]
)


@given(pulls, some.floats(0.2, 2.0))
def test_the_fit_is_the_non_negative_least_squares_fit(pulls: list[tuple[float, float]], rest_m: float) -> None:
    """The sum of squares left over is that of scipy.optimize.nnls."""
    points = [BandPoint(length_m=stretch * rest_m, force_n=force) for stretch, force in pulls]
    rubber = fit(points, rest_m)
    rows = [(p.length_m / rest_m, p.force_n) for p in points]
    matrix = [[s - s**-2, 1 - s**-3] for s, _ in rows]
    _, left_over = nnls(matrix, [force for _, force in rows])
    ours = math.sqrt(sum((tension_n(rubber, 1.0, s) - force) ** 2 for s, force in rows))
    assert rubber.a_n >= 0
    assert rubber.b_n >= 0
    if not rubber.guess:
        assert ours == pytest.approx(left_over, rel=1e-6, abs=1e-6)


@given(some.floats(0.5, 40), some.floats(0.5, 40), some.floats(0.2, 2.0))
def test_points_of_the_law_give_its_constants_back(a_n: float, b_n: float, rest_m: float) -> None:
    law = Rubber(a_n, b_n, guess=False, measured_to=1.0)
    points = [BandPoint(length_m=rest_m * s, force_n=tension_n(law, 1.0, s)) for s in (1.25, 1.5, 2.0, 2.5)]
    fitted = fit(points, rest_m)
    assert fitted.a_n == pytest.approx(a_n, rel=1e-6)
    assert fitted.b_n == pytest.approx(b_n, rel=1e-6)
    assert fitted.measured_to == pytest.approx(1.5)


def test_one_point_is_met_and_said_to_be_a_guess() -> None:
    rubber = fit([BandPoint(length_m=2.0, force_n=20.0)], 1.0)
    assert rubber.guess
    assert rubber.b_n == pytest.approx(RATIO * rubber.a_n)
    assert tension_n(rubber, 1.0, 2.0) == pytest.approx(20.0)


@given(rubbers, rubbers, some.floats(0.1, 4.0), some.floats(0.1, 4.0), some.floats(0.2, 2.0))
def test_never_less_from_more(one: Rubber, more: Rubber, length: float, longer: float, rest_m: float) -> None:
    """A longer band, a heavier rubber or a second strand never pulls less; a slack one never pulls."""
    heavier = Rubber(one.a_n + more.a_n, one.b_n + more.b_n, guess=False, measured_to=1.0)
    near, far = sorted((length, longer))
    pull = tension_n(one, rest_m, near)
    assert pull >= 0
    assert tension_n(one, rest_m, far) >= pull
    assert tension_n(heavier, rest_m, near) >= pull
    assert tension_n(one, rest_m, near, 2) >= pull
    if near <= rest_m:
        assert pull == 0


@given(rubbers, stretches, some.floats(0.2, 2.0))
def test_tension_depends_on_elongation_and_not_on_resting_length(rubber: Rubber, s: float, rest_m: float) -> None:
    """Thomas M, Muller T, Busse MW, J Sports Med Phys Fitness 2005;45(2):188-198 (abstract)."""
    assert tension_n(rubber, rest_m, s * rest_m) == pytest.approx(tension_n(rubber, 1.0, s), rel=1e-9, abs=1e-9)


@given(rubbers, stretches, some.floats(0.2, 2.0))
def test_two_strands_pull_twice_as_hard_at_the_same_stretch(rubber: Rubber, s: float, rest_m: float) -> None:
    """A band looped round the anchor reaches half as far, and each half is one strand."""
    one, two = tension_n(rubber, rest_m, s * rest_m, 1), tension_n(rubber, rest_m, s * rest_m / 2, 2)
    assert two == pytest.approx(2 * one, rel=1e-9, abs=1e-9)
    assert elongation(rest_m, s * rest_m / 2, 2) == pytest.approx(elongation(rest_m, s * rest_m, 1), abs=1e-12)


def test_beyond_the_longest_measured_point_is_extrapolated() -> None:
    rubber = rubber_of(grade("medium", 1.0, 0.5))
    assert rubber.measured_to == pytest.approx(2.5)
    assert not extrapolated(rubber, 2.4)
    assert extrapolated(rubber, 2.6)


def test_good_bands_raise_no_doubt() -> None:
    assert validate_bands(three_grades(1.0), LIMITS) == ()


@pytest.mark.parametrize("times", [0.7, 1.3, 1.5])
@pytest.mark.parametrize("place", range(10))
def test_the_point_out_of_line_is_named_and_none_of_its_neighbours(place: int, times: float) -> None:
    band = grade("medium", 1.0, 1.0)
    points = list(band.points)
    points[place] = points[place].model_copy(update={"force_n": points[place].force_n * times})
    (found,) = validate_bands((band.model_copy(update={"points": tuple(points)}),), LIMITS)
    assert isinstance(found, OutlyingPoint)
    assert found.residual.point == points[place]
    assert found.residual.relative == pytest.approx(times - 1, abs=0.1)


def test_of_three_points_that_disagree_none_is_singled_out() -> None:
    points = tuple(
        BandPoint(length_m=length, force_n=force) for length, force in ((1.5, 20.0), (2.0, 10.0), (2.5, 30.0))
    )
    band = BandGrade(name="odd", looks="odd", resting_length_m=1.0, points=points)
    beyond = tuple(one for one in residuals(band) if abs(one.relative) > LIMITS["point_misfit_max"])
    assert len(beyond) > 1
    assert (
        tuple(finding.residual for finding in validate_bands((band,), LIMITS) if isinstance(finding, OutlyingPoint))
        == beyond
    )


def test_bands_out_of_order_and_single_points_are_named() -> None:
    light, medium, heavy = three_grades(1.0)
    assert [type(finding) for finding in validate_bands((light, heavy, medium), LIMITS)] == [BandsOutOfOrder]
    single = BandGrade(name="new", looks="new", resting_length_m=1.0, points=(BandPoint(length_m=2.0, force_n=90.0),))
    assert validate_bands((light, single), LIMITS) == (SinglePoint("new"),)


def test_order_is_judged_at_the_same_elongation_and_not_at_the_same_length() -> None:
    assert validate_bands((grade("light", 0.5, 0.6), grade("heavy", 0.7, 1.2)), LIMITS) == ()


def test_a_point_that_is_not_stretched_is_refused() -> None:
    with pytest.raises(ValueError, match="not longer than the resting length"):
        fit([BandPoint(length_m=0.5, force_n=3.0)], 0.5)
    with pytest.raises(ValueError, match="no measured point"):
        fit([], 0.5)


@pytest.mark.parametrize(
    ("points", "word"),
    [
        ([(2.0, -3.0)], "> 0"),
        ([(0.9, 3.0)], "not longer than the resting length"),
        ([(2.0, 20.0), (2.0, 25.0)], "two points at one length"),
    ],
)
def test_nonsense_on_the_shelf_gets_a_clear_word(points: list[tuple[float, float]], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        BandGrade.model_validate(
            {
                "name": "odd",
                "looks": "odd",
                "resting_length_m": 1.0,
                "points": [{"length_m": length, "force_n": force} for length, force in points],
            }
        )

"""The spread of a load: against Monte Carlo, against the whole model differentiated, and in its plain properties.

`python -m tests.mechanics.long_uncertainty` does the first at length: 20,000 draws and fifty random clients.
"""

import math
from collections.abc import Mapping

import numpy as np
import pytest

from coach.mechanics.anchor import Anchor
from coach.mechanics.band import fit
from coach.mechanics.band_draws import _GOLDEN, DRAWS, _numbers, normal_scores
from coach.mechanics.band_uncertainty import band_uncertainty
from coach.mechanics.ladder import build_ladder, rungs
from coach.mechanics.load_uncertainty import COVERAGE, LoadUncertainty
from coach.model.band import BandGrade, BandPoint
from coach.model.load_step import LoadStep
from coach.model.profile import Lengths
from tests.mechanics.clients import AT_0_WITH_GAP, AT_90, LIMITS, grade, prescription, profile, three_grades
from tests.mechanics.monte_carlo import fit as fit_by_draws
from tests.mechanics.uncertainty_cases import Case, Held, check, demo_cases, random_cases

PLAN = prescription()


def _found(held: list[Held]) -> str:
    return "; ".join(
        f"{one.name}: {min(one.coverage):.3f} to {max(one.coverage):.3f}" for one in held if not one.holds
    )


def test_the_stated_interval_holds_86_to_93_percent_of_the_draws() -> None:
    """JCGM 101:2008; the draws are those of the whole model, fit and geometry and all."""
    held = [check(case, 4000) for case in (*demo_cases(), *random_cases(3, 12))]
    assert sum(one.holds for one in held) >= 0.9 * len(held), _found(held)


def test_the_chance_of_heavier_is_within_three_in_a_hundred() -> None:
    held = [check(case, 8000) for case in (*demo_cases(), *random_cases(4, 8))]
    errors = {one.name: max(one.chance_errors) for one in held}
    assert sum(error >= 0.03 for error in errors.values()) <= 0.1 * len(errors), errors
    assert max(errors.values()) < 0.05, errors


def test_the_covariance_of_a_fit_is_that_of_fits_to_drawn_readings() -> None:
    exact = {**LIMITS, "u_scale_n": 0.05, "u_point_length_m": 0.0005, "u_resting_length_m": 0.0005}
    band = grade("medium", 0.75, 1.0)
    drawn = np.cov(np.array(fit_by_draws(band, exact, 200_000, np.random.default_rng(1))))
    ours = np.array(band_uncertainty(band, exact).covariance)
    spread = np.sqrt(np.diag(drawn))
    assert ours / np.outer(spread, spread) == pytest.approx(drawn / np.outer(spread, spread), abs=0.02)


def test_the_derivatives_of_a_fit_are_those_of_differences() -> None:
    """The same covariance from differences of the fit itself, a reading at a time (JCGM 100:2008, 5.1.3, note 2)."""
    band = grade("medium", 0.75, 1.0)
    columns = []
    for number in range(len(band.points)):
        for name, u in (("force_n", LIMITS["u_scale_n"]), ("length_m", LIMITS["u_point_length_m"])):
            columns.append(_difference(band, number, name, u))
    rest = [fit(band.points, band.resting_length_m + by) for by in (1e-6, -1e-6)]
    u = LIMITS["u_resting_length_m"]
    columns.append(((rest[0].a_n - rest[1].a_n) / 2e-6 * u, (rest[0].b_n - rest[1].b_n) / 2e-6 * u, u))
    by_differences = np.array(columns).T @ np.array(columns)
    assert np.array(band_uncertainty(band, LIMITS).covariance) == pytest.approx(by_differences, rel=1e-5)


def _difference(band: BandGrade, number: int, name: str, u: float) -> tuple[float, float, float]:
    fits = []
    for by in (1e-6, -1e-6):
        points = list(band.points)
        values: Mapping[str, float] = {**points[number].model_dump(), name: getattr(points[number], name) + by}
        points[number] = BandPoint.model_validate(values)
        fits.append(fit(points, band.resting_length_m))
    return (fits[0].a_n - fits[1].a_n) / 2e-6 * u, (fits[0].b_n - fits[1].b_n) / 2e-6 * u, 0.0


def test_one_point_alone_has_an_error_of_the_law_itself() -> None:
    whole = grade("medium", 0.75, 1.0)
    single = whole.model_copy(update={"points": whole.points[3:4]})
    low, high = (build_ladder(profile(bands=(band,)), PLAN, AT_90, LIMITS).steps[10] for band in (whole, single))
    assert _width(high) > 1.2 * _width(low)
    step = build_ladder(profile(bands=(single,)), PLAN, AT_90, LIMITS).steps[10]
    assert step.low_nm is not None
    assert step.high_nm is not None
    assert step.low_nm < step.mean_nm < step.high_nm


def _width(step: LoadStep) -> float:
    assert step.low_nm is not None
    assert step.high_nm is not None
    return (step.high_nm - step.low_nm) / step.mean_nm


def test_a_better_scale_narrows_the_interval_and_a_measured_lever_does() -> None:
    widths = []
    for client, limits in (
        (profile(), LIMITS),
        (profile(), {**LIMITS, "u_scale_n": 0.1}),
        (profile(lengths=Lengths(grip_lever_m=0.335)), {**LIMITS, "u_scale_n": 0.1}),
    ):
        widths.append(_width(build_ladder(client, PLAN, AT_90, limits).steps[20]))
    assert widths[0] > widths[1] > widths[2]


def test_steps_of_one_band_share_the_errors_of_its_fit() -> None:
    """With the band measured badly their difference stays sure, and that to another band does not."""
    bad = {**LIMITS, "u_scale_n": 3.0}
    client = profile(bands=three_grades(1.0)[:2])
    uncertainty = LoadUncertainty(client, AT_90, Anchor(90, 0.0), bad)
    steps = build_ladder(client, PLAN, AT_90, bad).steps
    light = [step for step in steps if step.grade == "light"]
    one, same = (uncertainty.contributions(step) for step in (light[10], light[14]))
    medium = next(step for step in steps if step.grade == "medium" and step.mean_nm >= light[14].mean_nm)
    other = uncertainty.contributions(medium)
    assert other.difference_nm(one) > 3 * same.difference_nm(one)
    separate = math.hypot(*(-contribution.interval_nm[0] / COVERAGE for contribution in (one, same)))
    assert same.difference_nm(one) < separate / 3


def test_the_orders_of_the_draws_are_of_the_published_generator() -> None:
    """SplitMix64 from the seed 1234567, a common check of implementations (Rosetta Code; from memory)."""
    order = 1234567 * pow(_GOLDEN, -1, 2**64) % 2**64
    assert _numbers(order)[:5] == (
        *(6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821),
    )


def test_the_draws_are_fixed_and_equally_likely() -> None:
    scores = normal_scores(3)
    assert scores == normal_scores(3)
    assert scores != normal_scores(4)
    assert len(set(scores)) == len(scores) == DRAWS
    assert math.fsum(scores) == pytest.approx(0, abs=1e-9)
    assert math.fsum(score * score for score in scores) / DRAWS == pytest.approx(1, abs=0.01)


def test_the_gap_at_the_elbow_changes_the_load_and_is_in_its_spread() -> None:
    """It was told to the client and not in the load: 10 to 17 % of the mean torque for 5 degrees."""
    close = AT_0_WITH_GAP.model_copy(update={"elbow_gap_cm": 0.0})
    step = build_ladder(profile(), PLAN, AT_0_WITH_GAP, LIMITS).steps[20]
    with_gap = rungs(build_ladder(profile(), PLAN, AT_0_WITH_GAP, LIMITS), step).step
    without = next(
        other
        for other in build_ladder(profile(), PLAN, close, LIMITS).steps
        if (other.grade, other.distance_cm) == (step.grade, step.distance_cm)
    )
    assert with_gap.mean_nm > 1.05 * without.mean_nm
    careful = {**LIMITS, "u_elbow_gap_m": 0.001}
    narrow = next(
        other
        for other in build_ladder(profile(), PLAN, AT_0_WITH_GAP, careful).steps
        if (other.grade, other.distance_cm) == (step.grade, step.distance_cm)
    )
    assert _width(narrow) < _width(step)


def test_an_interval_is_never_below_zero() -> None:
    case = Case("weak", profile(bands=(grade("light", 0.05, 1.0),)), PLAN, AT_0_WITH_GAP)
    ladder = build_ladder(case.profile, case.prescription, case.position, LIMITS)
    assert min(step.low_nm or 0.0 for step in ladder.steps) >= 0

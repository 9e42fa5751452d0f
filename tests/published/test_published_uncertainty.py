"""The arithmetic of uncertainty against a worked example of the standard."""

import math

import pytest
from msgspec.structs import replace

from coach.mechanics.band_draws import normal_scores
from coach.mechanics.load_uncertainty import COVERAGE, SHARED, Contributions

# JCGM 100:2008 (GUM), example H.1: the length of an end gauge of 50 mm, l = l_s + d - l_s (da theta + a_s dtheta).
# The inputs are second hand, as the documentation of the calculator GTC gives them (Measurement Standards Laboratory
# of New Zealand, gtc.readthedocs.io, GUM_H1); the results of H.1.4 and H.1.7 are from memory of the standard.
LENGTH_NM, U_LENGTH_NM = 50.000623e6, 25.0  # l_s
U_DIFFERENCE_NM = (5.8, 3.9, 6.7)  # of d: repeated readings, comparator random, comparator systematic
U_EXPANSION = 1e-6 / math.sqrt(3)  # da, per kelvin: even between -1e-6 and 1e-6
OFFSET_K, U_OFFSET_K = -0.1, math.hypot(0.2, 0.5 / math.sqrt(2))  # theta, from 20 degrees
EXPANSION, U_EXPANSION_OF_STANDARD = 11.5e-6, 2e-6 / math.sqrt(3)  # a_s, per kelvin
U_TEMPERATURE_K = 0.05 / math.sqrt(3)  # dtheta: even between -0.05 and 0.05
COMBINED_NM, WITH_SECOND_ORDER_NM = 32, 34

NOTHING = Contributions(grade="none", shared=(0.0,) * len(SHARED), band=(0.0, 0.0, 0.0), feet=0.0)
BY_INPUT = replace(
    NOTHING,
    shared=(
        U_LENGTH_NM,
        -LENGTH_NM * OFFSET_K * U_EXPANSION,
        0.0,  # theta: its sensitivity is that of da, which is 0
        0.0,  # a_s: its sensitivity is that of dtheta, which is 0
        -LENGTH_NM * EXPANSION * U_TEMPERATURE_K,
        0.0,
    ),
    band=U_DIFFERENCE_NM,
)


def test_the_combined_uncertainty_of_an_end_gauge_is_that_of_the_standard() -> None:
    """H.1.4, 32 nm, through the sums by which a load step gets its interval."""
    low, high = BY_INPUT.interval_nm
    assert (high - low) / 2 / COVERAGE == pytest.approx(COMBINED_NM, abs=0.5)
    assert BY_INPUT.by_input["band"] == pytest.approx(9.7, abs=0.05)
    assert BY_INPUT.by_input["anchor_height"] == pytest.approx(2.9, abs=0.05)
    assert BY_INPUT.by_input["lever"] == pytest.approx(16.6, abs=0.1)


def test_the_difference_of_two_lengths_against_one_standard_has_its_error_once() -> None:
    """F.1.2.3: what two results share cancels in their difference."""
    other = replace(BY_INPUT, grade="another", shared=(U_LENGTH_NM, *BY_INPUT.shared[1:]))
    assert BY_INPUT.difference_nm(other) == pytest.approx(math.sqrt(2) * 9.7, abs=0.1)


def test_the_draws_find_what_the_first_order_leaves_out() -> None:
    """H.1.7, 34 nm with the terms of second order: the same model through the fixed draws, all inputs as normal."""
    columns = [normal_scores(900 + order) for order in range(6)]
    drawn = [
        U_LENGTH_NM * length
        + math.hypot(*U_DIFFERENCE_NM) * difference
        - (LENGTH_NM + U_LENGTH_NM * length)
        * (
            U_EXPANSION * expansion * (OFFSET_K + U_OFFSET_K * offset)
            + (EXPANSION + U_EXPANSION_OF_STANDARD * of_standard) * U_TEMPERATURE_K * temperature
        )
        for length, difference, expansion, offset, of_standard, temperature in zip(*columns, strict=True)
    ]
    by_draws = replace(NOTHING, drawn=tuple(drawn)).by_input["band"]
    assert by_draws == pytest.approx(WITH_SECOND_ORDER_NM, abs=1.0)


def test_the_coverage_factor_of_90_percent() -> None:
    """1.645, JCGM 100:2008, table G.1 (memory)."""
    assert pytest.approx(1.645, abs=5e-4) == COVERAGE

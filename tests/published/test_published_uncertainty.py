"""The arithmetic of uncertainty against a worked example of the standard."""

import math

import pytest

from coach.mechanics.load_uncertainty import COVERAGE

# JCGM 100:2008 (GUM), example H.1: the length of an end gauge of 50 mm against a standard. Every value below is from
# memory of the standard, which was not read for this project.
STANDARD_NM = 25.0  # u(l_s), of the standard
DIFFERENCE_NM = 9.7  # u(d), of the measured difference
EXPANSION_PER_K = 0.58e-6  # u(delta alpha)
TEMPERATURE_K = 0.029  # u(delta theta)
LENGTH_NM = 50e6
EXPANSION = 11.5e-6  # per kelvin, of the standard
OFFSET_K = -0.1  # theta, from 20 degrees


def test_the_combined_uncertainty_of_an_end_gauge() -> None:
    """32 nm, H.1.4: contributions of independent inputs add as squares, as in Contributions."""
    by_expansion = LENGTH_NM * OFFSET_K * EXPANSION_PER_K
    by_temperature = LENGTH_NM * EXPANSION * TEMPERATURE_K
    assert abs(by_expansion) == pytest.approx(2.9, abs=0.05)
    assert by_temperature == pytest.approx(16.6, abs=0.1)
    combined = math.hypot(STANDARD_NM, DIFFERENCE_NM, by_expansion, by_temperature)
    assert combined == pytest.approx(32, abs=0.5)


def test_the_coverage_factor_of_90_percent() -> None:
    """1.645, JCGM 100:2008, table G.1 (memory)."""
    assert pytest.approx(1.645, abs=5e-4) == COVERAGE

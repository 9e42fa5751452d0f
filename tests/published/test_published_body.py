"""Lengths and masses of the body against published ones."""

from typing import Literal

import pytest

from coach.mechanics.body import FRACTIONS, body_of
from tests.mechanics.clients import profile


@pytest.mark.parametrize(
    ("fractions", "stature_m", "lever_m", "spread_m"),
    [("men", 1.756, 0.349, 0.018), ("women", 1.628, 0.318, 0.018)],
)
def test_the_grip_lever_of_a_middling_body(
    fractions: Literal["men", "women"], stature_m: float, lever_m: float, spread_m: float
) -> None:
    """Elbow to centre of grip 349 +/- 18 mm (men), 318 +/- 18 mm (women): computed from ANSUR II, Gordon CC et al.,
    NATICK/TR-15/007, 2014 (read). Mean statures of the same people: from memory."""
    computed_m = FRACTIONS[fractions].grip_lever * stature_m
    assert computed_m == pytest.approx(lever_m, abs=spread_m / 10)


def test_the_elbow_hangs_where_another_table_has_it() -> None:
    """Elbow height 0.630 and shoulder height 0.818 of stature: Drillis & Contini 1966, in Winter, Biomechanics and
    Motor Control of Human Movement (second hand), beside lengths from ANSUR II."""
    body = body_of(profile())
    assert body.elbow_height_m / 1.70 == pytest.approx(0.630, abs=0.005)
    assert body.shoulder_height_m / 1.70 == pytest.approx(0.818, abs=0.005)


def test_forearm_and_hand_of_70_kg() -> None:
    """0.022 of body mass, balanced at 0.682 of the forearm, which is 0.146 of stature: Winter after Dempster (read),
    Drillis & Contini (second hand)."""
    body = body_of(profile())
    assert body.forearm_mass_kg == pytest.approx(1.54)
    assert body.mass_lever_m == pytest.approx(0.1693, abs=1e-4)

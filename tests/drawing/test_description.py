"""The drawing in facts: worked by hand for a client whose shoulder is at 1.38 m, upper arm 0.32, lever 0.33."""

import pytest

from coach.drawing.description import describe_setup
from coach.drawing.shapes import Side
from tests.drawing.drawn_setups import setup_at


def test_at_the_side_level_with_the_elbow() -> None:
    # The elbow is at 106 cm and stays; the hand turns from 30 degrees inward to 77 outward: 107 degrees at 33 cm.
    found = describe_setup(setup_at("0", distance_cm=120, height_cm=106), "right")
    assert (found.anchor_height_cm, found.landmark, found.distance_cm) == (106, "elbow", 120)
    # 1.20 m over a foot of 0.25 m is 4.8, said as 5.
    assert found.distance_feet == 5.0
    assert (found.turn, found.anchor_side, found.anchor_oclock) == ("side_on", "left", "9:00")
    assert (found.band_start, found.band_start_deg, found.band_end, found.band_end_deg) == ("level", 0, "level", 0)
    assert (found.hand_start_cm, found.hand_end_cm) == (106, 106)
    # 0.33 * 107 * pi / 180 = 0.616 m
    assert (found.arc, found.hand_path_cm) == (107, 62)


@pytest.mark.parametrize(("side", "oclock"), [("right", "3:00"), ("left", "9:00")])
def test_for_internal_rotation_the_anchor_is_at_the_exercising_side(side: Side, oclock: str) -> None:
    found = describe_setup(setup_at("0", distance_cm=120, height_cm=106, direction="internal"), side)
    assert (found.turn, found.anchor_side, found.anchor_oclock) == ("side_on", side, oclock)
    # From 30 degrees out the hand is 0.19 + 0.33 sin 30 = 0.355 m aside and 0.286 ahead: sqrt(0.845^2 + 0.286^2).
    assert found.band_start_cm == 89
    # At 60 degrees in it is 0.19 - 0.286 = 0.096 m beyond the middle and 0.165 ahead: sqrt(1.296^2 + 0.165^2).
    assert found.band_end_cm == 131


def test_at_90_the_band_runs_down_to_a_low_anchor() -> None:
    # Facing; at rotation 90 the hand is 33 cm above the shoulder, 0.32 sin 30 = 0.16 m ahead and 0.19 + 0.277 aside.
    # Anchor 1.00 m ahead and 0.53 high: 1.18 m lower, 0.84 ahead, 0.467 aside; atan(1.18 / 0.961) = 50.8 degrees.
    found = describe_setup(setup_at("90", distance_cm=100, height_cm=53), "left")
    assert (found.turn, found.anchor_side, found.anchor_oclock) == ("facing", "front", "12:00")
    assert (found.hand_start_cm, found.hand_end_cm) == (138, 171)
    assert (found.band_end, found.band_end_deg) == ("down", 51)
    assert found.band_start == "down"
    # sqrt(1.18^2 + 0.961^2) = 1.522 m
    assert found.band_end_cm == 152


def test_a_high_anchor_pulls_up() -> None:
    found = describe_setup(setup_at("0", height_cm=180), "right")
    assert (found.band_start, found.band_end) == ("up", "up")
    assert found.band_start_deg > found.band_end_deg > 0


@pytest.mark.parametrize(
    ("turn_deg", "side", "turn", "anchor_side", "oclock"),
    [
        (0.0, "right", "facing", "front", "12:00"),
        (45.0, "right", "diagonal", "left", "10:30"),
        (45.0, "left", "diagonal", "right", "1:30"),
        (60.0, "right", "diagonal", "left", "10:00"),
        (80.0, "left", "side_on", "right", "2:30"),
        (90.0, "left", "side_on", "right", "3:00"),
        (135.0, "right", "diagonal_away", "left", "7:30"),
        (180.0, "right", "away", "back", "6:00"),
    ],
)
def test_the_turn_in_words_and_on_the_clock(
    turn_deg: float, side: Side, turn: str, anchor_side: str, oclock: str
) -> None:
    found = describe_setup(setup_at("45", turn_deg=turn_deg), side)
    assert (found.turn, found.anchor_side, found.anchor_oclock) == (turn, anchor_side, oclock)

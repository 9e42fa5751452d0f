"""The two views: true lengths, the right turn, the right side."""

import math
from collections.abc import Callable
from itertools import pairwise

import pytest

from coach.drawing.scene import from_above, from_the_side
from coach.drawing.shapes import PagePoint, Role, Scene, Side, Stroke
from coach.mechanics.setup import Setup
from tests.drawing.drawn_setups import HALF_BREADTH_M, LEVER_M, POSITIONS, SHOULDER_M, setup_at

HALF_ARM_M = 0.025
Draw = Callable[[Setup, Side], Scene]


def only(scene: Scene, role: Role) -> list[Stroke]:
    return [stroke for stroke in scene.strokes if stroke.role == role]


def label(scene: Scene, name: str) -> PagePoint:
    return next(label.at for label in scene.labels if label.name == name)


def direction_deg(one: PagePoint, other: PagePoint) -> float:
    return math.degrees(math.atan2(other[1] - one[1], other[0] - one[0]))


@pytest.mark.parametrize("position", POSITIONS)
def test_distance_and_height_are_true(position: str) -> None:
    setup = setup_at(position, distance_cm=135, height_cm=62)
    above, beside = from_above(setup, "right"), from_the_side(setup, "right")
    assert label(above, "anchor") == pytest.approx((-1.35, 0.0), abs=1e-12)
    assert label(beside, "anchor") == pytest.approx((-1.35, 0.62), abs=1e-12)


def test_the_forearm_is_true_from_above_with_the_arm_at_the_side() -> None:
    scene = from_above(setup_at("0"), "right")
    for arm in only(scene, "arm_start") + only(scene, "arm_end"):
        hand, elbow, shoulder = arm.points
        assert math.dist(hand, elbow) == pytest.approx(LEVER_M)
        assert math.dist(elbow, shoulder) == pytest.approx(0.0, abs=1e-12)


def test_the_arm_seen_from_the_side_is_as_high_as_it_is() -> None:
    beside = from_the_side(setup_at("90", turn_deg=0.0, end_deg=90.0), "right")
    (arm,) = only(beside, "arm_end")
    hand, elbow, shoulder = arm.points
    # At 90 degrees of abduction and of rotation the forearm points straight up from shoulder height.
    assert elbow[1] == pytest.approx(SHOULDER_M)
    assert shoulder[1] == pytest.approx(SHOULDER_M)
    assert hand == pytest.approx((elbow[0], SHOULDER_M + LEVER_M))


@pytest.mark.parametrize(("side", "outward"), [("right", 1), ("left", -1)])
def test_in_internal_rotation_the_hand_goes_from_the_side_of_the_anchor_across_the_body(
    side: Side, outward: int
) -> None:
    setup = setup_at("0", distance_cm=135, height_cm=62, direction="internal")
    above, beside = from_above(setup, side), from_the_side(setup, side)
    # A right arm has its anchor at the right edge, a left arm at the left; the client faces up the page.
    assert label(above, "anchor") == pytest.approx((outward * 1.35, 0.0), abs=1e-12)
    assert label(beside, "anchor") == pytest.approx((outward * 1.35, 0.62), abs=1e-12)
    assert direction_deg(*only(above, "facing")[0].points) == pytest.approx(90.0)
    # 30 degrees out and 60 in, from an elbow below the shoulder.
    start = (HALF_BREADTH_M + LEVER_M * math.sin(math.radians(30)), LEVER_M * math.cos(math.radians(30)))
    end = (HALF_BREADTH_M - LEVER_M * math.sin(math.radians(60)), LEVER_M * math.cos(math.radians(60)))
    assert label(above, "start") == pytest.approx((outward * start[0], start[1]))
    assert label(above, "end") == pytest.approx((outward * end[0], end[1]))


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 45.0, 90.0, 120.0])
def test_the_client_is_turned_from_the_anchor_by_the_body_turn(turn_deg: float) -> None:
    scene = from_above(setup_at("45", turn_deg=turn_deg), "right")
    anchor_deg = direction_deg((0.0, 0.0), label(scene, "anchor"))
    shaft = only(scene, "facing")[0].points
    # The anchor lies to the left of a client whose right arm exercises: anticlockwise from where they face.
    assert (anchor_deg - direction_deg(*shaft)) % 360 == pytest.approx(turn_deg, abs=1e-9)
    for foot in only(scene, "feet"):
        assert direction_deg(*foot.points) % 360 == pytest.approx(direction_deg(*shaft) % 360)
    tip = shaft[-1]
    for barb in only(scene, "facing")[1].points:
        assert math.hypot(*barb) <= math.hypot(*tip)


@pytest.mark.parametrize("position", POSITIONS)
def test_the_arrow_lies_clear_of_hand_and_feet(position: str) -> None:
    setup = setup_at(position, turn_deg=90.0)
    scene = from_above(setup, "right")
    arrow = [
        (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        for stroke in only(scene, "facing")
        for start, end in pairwise(stroke.points)
        for share in (number / 20 for number in range(21))
    ]
    for role in ("feet", "path", "head"):
        for stroke in (one for one in scene.strokes if one.role == role):
            half = stroke.width_m / 2
            assert min(math.dist(place, point) for place in arrow for point in stroke.points) > half + HALF_ARM_M


def test_at_90_degrees_the_arrow_ends_before_the_anchor_that_lies_ahead() -> None:
    scene = from_above(setup_at("90", turn_deg=0.0), "right")
    tip = only(scene, "facing")[0].points[-1]
    assert math.hypot(*tip) < math.hypot(*label(scene, "anchor")) - 0.05


def test_the_exercising_arm_is_on_its_side_of_the_client() -> None:
    # Side-on, facing up the page: the right shoulder is to the right of the mark, the anchor to the left.
    scene = from_above(setup_at("0"), "right")
    (arm,) = only(scene, "arm_end")
    hand, _, shoulder = arm.points
    assert shoulder == pytest.approx((HALF_BREADTH_M, 0.0))
    assert hand[0] > shoulder[0]


def _segments(stroke: Stroke, side: int = 1) -> set[frozenset[tuple[float, float]]]:
    """What a stroke joins with what, mirrored with `side` -1; what lies across an arrow begins at its left."""
    places = [(round(side * x, 9) + 0.0, round(y, 9)) for x, y in stroke.points]
    return {frozenset(pair) for pair in pairwise(places)}


@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("draw", [from_above, from_the_side])
def test_left_is_the_mirror_image_of_right(position: str, draw: Draw) -> None:
    setup = setup_at(position)
    right, left = draw(setup, "right"), draw(setup, "left")
    for one, other in zip(right.strokes, left.strokes, strict=True):
        assert one.role == other.role
        assert _segments(one) == _segments(other, -1), one.role
    assert label(left, "anchor")[0] > 0 > label(right, "anchor")[0]
    assert (left.low[0], left.high[0]) == pytest.approx((-right.high[0], -right.low[0]))


@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("draw", [from_above, from_the_side])
def test_bands_run_from_the_hands_to_the_anchor_along_the_way_of_the_hand(position: str, draw: Draw) -> None:
    scene = draw(setup_at(position), "right")
    (path,), (start,), (end,) = only(scene, "path"), only(scene, "arm_start"), only(scene, "arm_end")
    (band_start,), (band_end,) = only(scene, "band_start"), only(scene, "band_end")
    assert path.points[0] == pytest.approx(start.points[0])
    assert path.points[-1] == pytest.approx(end.points[0])
    for band, arm in ((band_start, start), (band_end, end)):
        assert band.points[0] == pytest.approx(arm.points[0])
        assert band.points[1] == label(scene, "anchor")
    assert max(math.dist(one, other) for one, other in pairwise(path.points)) < 0.02


@pytest.mark.parametrize("draw", [from_above, from_the_side])
def test_everything_lies_inside_the_corners(draw: Draw) -> None:
    scene = draw(setup_at("45"), "left")
    for stroke in scene.strokes:
        for x, y in stroke.points:
            assert scene.low[0] <= x - stroke.width_m / 2
            assert x + stroke.width_m / 2 <= scene.high[0]
            assert scene.low[1] <= y - stroke.width_m / 2
            assert y + stroke.width_m / 2 <= scene.high[1]

"""The arm at one moment: the pose of the mechanics, a frame that does not jump, the view that shows most."""

import math

import pytest

from coach.drawing.moving_arm import arm_scene, best_viewpoint, visible_path_m
from coach.drawing.projection import VIEWPOINTS, Viewpoint
from coach.drawing.shapes import Role, Scene, Side, Stroke
from tests.drawing.drawn_setups import LEVER_M, POSITIONS, setup_at


def stroke(scene: Scene, role: Role) -> Stroke:
    return next(stroke for stroke in scene.strokes if stroke.role == role)


def test_the_hand_seen_from_above_at_the_side_travels_its_whole_arc() -> None:
    setup = setup_at("0")
    assert visible_path_m(setup, "from_above") == pytest.approx(LEVER_M * math.radians(107), rel=1e-3)


def test_the_view_shows_most_of_the_movement() -> None:
    # At the side the forearm sweeps level; at 90 it rises: only its first quarter turn forward shows from above.
    assert best_viewpoint(setup_at("0")) == "from_above"
    assert best_viewpoint(setup_at("90")) == "from_the_side"
    for position in POSITIONS:
        setup = setup_at(position)
        assert visible_path_m(setup, best_viewpoint(setup)) == max(visible_path_m(setup, view) for view in VIEWPOINTS)


@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("view", VIEWPOINTS)
def test_the_frame_stands_still_and_the_arm_stays_in_it(position: str, view: Viewpoint) -> None:
    setup = setup_at(position)
    first, last = setup.start.q, setup.end.q
    scenes = [arm_scene(setup, "left", first + (last - first) * part / 20, view) for part in range(21)]
    assert len({(scene.low, scene.high) for scene in scenes}) == 1
    for scene in scenes:
        for x, y in stroke(scene, "arm_now").points:
            assert scene.low[0] < x < scene.high[0]
            assert scene.low[1] < y < scene.high[1]
    hands = [stroke(scene, "arm_now").points[0] for scene in scenes]
    assert len(set(hands)) == len(hands)


@pytest.mark.parametrize("view", VIEWPOINTS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_hand_ends_on_the_line_to_reach(view: Viewpoint, side: Side) -> None:
    setup = setup_at("0")
    scene = arm_scene(setup, side, setup.end.q, view)
    one, other = stroke(scene, "reach").points
    hand = stroke(scene, "arm_now").points[0]
    middle = ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)
    assert middle == pytest.approx(hand, abs=1e-9)
    # Square to the way of the hand, which from above is square to the forearm.
    elbow = stroke(scene, "arm_now").points[1]
    if view == "from_above":
        along = (other[0] - one[0]) * (hand[1] - elbow[1]) - (other[1] - one[1]) * (hand[0] - elbow[0])
        assert abs(along) < 0.03 * math.dist(one, other) * math.dist(hand, elbow)


def test_left_is_the_mirror_image_of_right() -> None:
    setup = setup_at("45")
    for view in VIEWPOINTS:
        right, left = arm_scene(setup, "right", 20, view), arm_scene(setup, "left", 20, view)
        for one, other in zip(right.strokes, left.strokes, strict=True):
            mirrored = sorted((-x, y) for x, y in one.points)
            assert mirrored == [pytest.approx(point) for point in sorted(other.points)]

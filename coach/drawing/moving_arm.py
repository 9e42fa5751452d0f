"""The arm and the band at one moment of a repetition, for the set screen."""

import math
from itertools import pairwise

from coach.drawing.figure import arm_and_hand, arm_stroke, limb_strokes, upper_body
from coach.drawing.projection import VIEWPOINTS, Projection, Viewpoint, projection
from coach.drawing.shapes import Label, PagePoint, Scene, Side, Stroke, bounds, halfway
from coach.mechanics.motion.motion import Pose
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector

_REACH_M = 0.26
_AROUND_M = 0.06


def visible_path_m(setup: Setup, view: Viewpoint) -> float:
    """The visible length of the path of the hand from a viewpoint, in metres; the same for both sides."""
    page = projection(setup, "right", view)
    return sum(math.dist(page(one), page(other)) for one, other in pairwise(setup.hand_path_m))


def best_viewpoint(setup: Setup) -> Viewpoint:
    """The viewpoint from which the hand moves farthest; from above if both are equal."""
    return max(VIEWPOINTS, key=lambda view: visible_path_m(setup, view))


def arm_scene(setup: Setup, side: Side, q: float, view: Viewpoint) -> Scene:
    """One frame: the upper body, the arm at this degree or centimetre, the band, and the line to reach.

    Every frame shows the same part, so that the drawing does not jump: the head, the shoulders and the whole path of
    the hand. The trunk and the band extend beyond it.
    """
    page = projection(setup, side, view)
    now, still = setup.motion.pose(q), (setup.start, setup.motion.pose((setup.start.q + setup.end.q) / 2), setup.end)
    path = tuple(page(point) for point in setup.hand_path_m)
    reach = _reach(path)
    body = limb_strokes(upper_body(setup), page)
    stands = (*body, Stroke("path", path), reach)
    strokes = (*stands, *_moving(setup, now, page))
    in_the_way = (*stands, *(one for pose in still for one in _moving(setup, pose, page)))
    in_sight = (
        *(stroke for stroke in body if view == "from_above" or stroke.role == "head"),
        Stroke("trunk", (page(setup.motion.shoulder_m), page(_other_shoulder_m(setup)))),
        arm_stroke(setup.start, "arm_now", page),
        Stroke("path", path, 2 * _AROUND_M),
        reach,
    )
    return Scene(strokes, (Label("line", halfway(*reach.points)),), *bounds(in_sight), in_the_way)


def _moving(setup: Setup, pose: Pose, page: Projection) -> tuple[Stroke, ...]:
    """The band and the arm in one pose."""
    return Stroke("band_now", (page(pose.hand_m), page(setup.anchor_m))), *arm_and_hand(pose, page)


def _reach(path: tuple[PagePoint, ...]) -> Stroke:
    """The line to reach, perpendicular to the path of the hand at its end."""
    (before_x, before_y), (x, y) = path[-2], path[-1]
    run, rise = x - before_x, y - before_y
    half = _REACH_M / 2 / (math.hypot(run, rise) or 1.0)
    return Stroke("reach", ((x - rise * half, y + run * half), (x + rise * half, y - run * half)))


def _other_shoulder_m(setup: Setup) -> Vector:
    forward, outward, up = setup.motion.shoulder_m
    return (forward, -outward, up)

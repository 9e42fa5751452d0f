"""The arm and the band at one moment of a repetition, large, for the set screen."""

import math
from itertools import pairwise

from coach.drawing.figure import arm, drawn, feet, upper_body
from coach.drawing.hand_path import hand_path_m
from coach.drawing.projection import VIEWS, View, projection
from coach.drawing.shapes import Point, Scene, Side, Stroke, bounds
from coach.mechanics.arm import pose
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector

_REACH_M = 0.26
_AROUND_M = 0.06


def shown_path_m(setup: Setup, view: View) -> float:
    """How long the way of the hand looks in a view, in metres; the same for both sides."""
    page = projection(setup, "right", view)
    return sum(math.dist(page(one), page(other)) for one, other in pairwise(hand_path_m(setup)))


def best_view(setup: Setup) -> View:
    """The view in which the hand is seen to move farthest; from above where they are equal."""
    return max(VIEWS, key=lambda view: shown_path_m(setup, view))


def arm_scene(setup: Setup, side: Side, rotation_deg: float, view: View) -> Scene:
    """One frame: the client's upper body, the arm at this rotation, its band, and the line to reach.

    The part shown is the same at every rotation, so that frames follow each other without a jump: the head, the
    shoulders and all the way of the hand. Trunk and band run out of it.
    """
    page = projection(setup, side, view)
    now = pose(setup.arm, rotation_deg)
    path = tuple(page(point) for point in hand_path_m(setup))
    reach = _reach(path)
    limbs = (*feet(setup), *upper_body(setup)) if view == "from_above" else upper_body(setup)
    body = drawn(limbs, page)
    strokes = (
        *body,
        Stroke("path", path),
        Stroke("band_now", (page(now.hand_m), page(setup.anchor_m))),
        arm(now, "arm_now", page),
        reach,
    )
    in_sight = (
        *(stroke for stroke in body if view == "from_above" or stroke.role == "head"),
        Stroke("trunk", (page(setup.arm.shoulder_m), page(_other_shoulder_m(setup)))),
        arm(setup.start, "arm_now", page),
        Stroke("path", path, 2 * _AROUND_M),
        reach,
    )
    return Scene(strokes, (), *bounds(in_sight))


def _reach(path: tuple[Point, ...]) -> Stroke:
    """The line to reach: on the page square to the way of the hand where it ends."""
    (before_x, before_y), (x, y) = path[-2], path[-1]
    run, rise = x - before_x, y - before_y
    half = _REACH_M / 2 / (math.hypot(run, rise) or 1.0)
    return Stroke("reach", ((x - rise * half, y + run * half), (x + rise * half, y - run * half)))


def _other_shoulder_m(setup: Setup) -> Vector:
    forward, outward, up = setup.arm.shoulder_m
    return (forward, -outward, up)

"""The two views of a setup, and how the body frame falls on the page.

Both share the line along the floor from the mark to the anchor as their horizontal axis, so that the distance is true
to scale in both and one drawing can stand below the other. The anchor lies at the edge of the page at which the
client has it; who stands side-on faces up the page. From the side means looking square to the vertical plane through
the mark and the anchor: the anchor height is true to scale.
"""

import math
from collections.abc import Callable
from typing import Literal

from coach.drawing.shapes import Point, Side
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector

View = Literal["from_above", "from_the_side"]
VIEWS: tuple[View, ...] = ("from_above", "from_the_side")

Projection = Callable[[Vector], Point]
"""From a point in the body frame to the page, metres to metres."""


def projection(setup: Setup, side: Side, view: View) -> Projection:
    """How a view shows the body frame: outward is to the right on the page for a right arm, mirrored for a left."""
    ahead, outward, _ = setup.anchor_m
    distance = math.hypot(ahead, outward)
    along = distance if outward > 0 else -distance
    away = (ahead / along, outward / along)
    mirror = 1 if side == "right" else -1

    def across(point: Vector) -> float:
        return mirror * (point[0] * away[0] + point[1] * away[1])

    def from_above(point: Vector) -> Point:
        return across(point), point[0] * away[1] - point[1] * away[0]

    def from_the_side(point: Vector) -> Point:
        return across(point), point[2]

    return from_above if view == "from_above" else from_the_side

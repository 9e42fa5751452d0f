"""The two viewpoints of a setup, and the projection of the body frame on the page.

The horizontal axis of both is the line along the floor from the mark to the anchor, so that the distance is to scale
in both and one drawing can be placed below the other. The anchor is on the side of the page on which the client has
it; a client who stands side-on faces up the page. From the side, the view is perpendicular to the vertical plane
through the mark and the anchor, so that the anchor height is to scale.
"""

import math
from collections.abc import Callable
from typing import Literal

from coach.drawing.shapes import PagePoint, Side
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector

Viewpoint = Literal["from_above", "from_the_side"]
VIEWPOINTS: tuple[Viewpoint, ...] = ("from_above", "from_the_side")

Seen = Literal["from_above", "from_behind", "from_the_side"]
"""From where a client is seen in a drawing, as it is said to them."""

Projection = Callable[[Vector], PagePoint]
"""Converts a point of the body frame to a point of the page, both in metres."""


def seen(setup: Setup, view: Viewpoint) -> Seen:
    """From where the client is seen: from above, or from the side, which is from behind if they stand side-on."""
    if view == "from_above":
        return view
    ahead, outward, _ = setup.anchor_m
    return "from_behind" if abs(outward) > abs(ahead) else "from_the_side"


def projection(setup: Setup, side: Side, view: Viewpoint) -> Projection:
    """The projection from a viewpoint: outward is to the right for a right arm, to the left for a left arm."""
    ahead, outward, _ = setup.anchor_m
    distance = math.hypot(ahead, outward)
    along = distance if outward > 0 else -distance
    away = (ahead / along, outward / along)
    mirror = 1 if side == "right" else -1

    def across(point: Vector) -> float:
        return mirror * (point[0] * away[0] + point[1] * away[1])

    def from_above(point: Vector) -> PagePoint:
        return across(point), point[0] * away[1] - point[1] * away[0]

    def from_the_side(point: Vector) -> PagePoint:
        return across(point), point[2]

    return from_above if view == "from_above" else from_the_side

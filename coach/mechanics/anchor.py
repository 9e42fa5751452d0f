"""The anchor: a fixed point at a distance, or the client's own foot; and how much of the band is free to stretch."""

import math

from msgspec import Struct

from coach.mechanics.body import Body
from coach.mechanics.vector import Vector
from coach.model.exercise import AnchorKind, AnchorSide
from coach.model.no_session import NoSession


class ImpossibleAnchor(NoSession):
    """The anchor would be inside the client's body or below the floor."""


class Anchor(Struct, frozen=True):
    """Where the band is fixed, seen from any mark: its height above the floor and the body turn away from it.

    Where the client stands on the band, the distance of a load step is instead the length of band that is underfoot.
    """

    height_cm: float
    body_turn_deg: float
    kind: AnchorKind = "fixed"

    def point_m(self, body: Body, distance_cm: float, side: AnchorSide) -> Vector:
        """The anchor in the body frame, in metres, seen from a mark `distance_cm` away. Raises ImpossibleAnchor."""
        if self.kind == "foot":
            return (0.0, body.foot_out_m, 0.0)
        return anchor_m(body, distance_cm / 100, self.height_cm / 100, self.body_turn_deg, side)

    def free_length_m(self, resting_length_m: float, distance_cm: float) -> float:
        """The resting length of the band between anchor and hand, in metres; not above 0 where all is underfoot."""
        return resting_length_m - distance_cm / 100 if self.kind == "foot" else resting_length_m


def anchor_m(body: Body, distance_m: float, height_m: float, body_turn_deg: float, side: AnchorSide) -> Vector:
    """The anchor in the body frame.

    `distance_m` runs along the floor from the mark between the feet to below the anchor. `body_turn_deg` is the angle
    between where the client faces and the anchor, which lies to the exercising or to the other `side`.
    Raises ImpossibleAnchor below the floor, and within half the shoulder breadth of the body's middle where it is
    below the shoulders.
    """
    if height_m < 0:
        raise ImpossibleAnchor(
            f"an anchor at {height_m * 100:.0f} cm is below the floor: give its height above the floor"
        )
    if distance_m < body.half_biacromial_m and height_m < body.shoulder_height_m:
        raise ImpossibleAnchor(
            f"an anchor {distance_m * 100:.0f} cm from the mark between the feet is inside the body, "
            f"which is {body.half_biacromial_m * 100:.0f} cm from its middle to the shoulder: stand farther away"
        )
    turn = math.radians(body_turn_deg)
    outward = distance_m * math.sin(turn)
    return (distance_m * math.cos(turn), outward if side == "exercising" else -outward, height_m)

"""A setup described in numbers, for sentences of the plain mode that replace the drawing."""

import math
from typing import Literal

from msgspec import Struct

from coach.drawing.shapes import Side
from coach.mechanics.motion.motion import PER_UNIT, Pose
from coach.mechanics.setup import Setup
from coach.mechanics.vector import minus, size
from coach.model.exercise import Landmark

Turn = Literal["facing", "diagonal", "side_on", "diagonal_away", "away"]
Slope = Literal["down", "level", "up"]

_TURNS: tuple[Turn, ...] = ("facing", "diagonal", "side_on", "diagonal_away", "away")
_EIGHTH_DEG = 45

# A slope that looks level: our own choice.
_LEVEL_DEG = 5


class SetupDescription(Struct, frozen=True):
    """What the drawing of a setup shows, in rounded degrees, centimetres and foot lengths."""

    anchor_height_cm: int
    landmark: Landmark
    distance_cm: int
    distance_feet: float
    """To half a foot."""
    turn: Turn
    body_turn_deg: int
    anchor_side: Side | Literal["front", "back"]
    """The side of the client on which the anchor is."""
    anchor_oclock: str
    """The direction to the anchor on a clock face, to the half hour; the client faces 12:00."""
    band_start: Slope
    """How the band runs from the hand to the anchor."""
    band_start_deg: int
    """The steepness of the band at the start, without sign."""
    band_start_cm: int
    band_end: Slope
    band_end_deg: int
    band_end_cm: int
    hand_start_cm: int
    """Height of the hand above the floor."""
    hand_end_cm: int
    hand_path_cm: int
    """The length of the path of the hand from start to end."""
    arc: int
    """How far the arm moves from start to end, in degrees or centimetres."""


def describe_setup(setup: Setup, side: Side) -> SetupDescription:
    """Describe a setup for a client who exercises this side."""
    arc = setup.end.q - setup.start.q
    way_m = size(setup.motion.hand_by_q(setup.start.q)) * arc * PER_UNIT[setup.motion.coordinate]
    start_deg, end_deg = _slope_deg(setup, setup.start), _slope_deg(setup, setup.end)
    return SetupDescription(
        anchor_height_cm=setup.anchor_height_cm,
        landmark=setup.landmark,
        distance_cm=setup.distance_cm,
        distance_feet=round(setup.distance_feet * 2) / 2,
        turn=_TURNS[round(setup.body_turn_deg / _EIGHTH_DEG)],
        body_turn_deg=round(setup.body_turn_deg),
        anchor_side=_anchor_side(setup, side),
        anchor_oclock=_oclock(setup, side),
        band_start=_slope(start_deg),
        band_start_deg=abs(round(start_deg)),
        band_start_cm=_band_cm(setup, setup.start),
        band_end=_slope(end_deg),
        band_end_deg=abs(round(end_deg)),
        band_end_cm=_band_cm(setup, setup.end),
        hand_start_cm=round(setup.start.hand_m[2] * 100),
        hand_end_cm=round(setup.end.hand_m[2] * 100),
        hand_path_cm=round(way_m * 100),
        arc=round(arc),
    )


def _slope_deg(setup: Setup, pose: Pose) -> float:
    """The slope of the band from the hand to the anchor in degrees, negative downward."""
    ahead, outward, up = minus(setup.anchor_m, pose.hand_m)
    return math.degrees(math.atan2(up, math.hypot(ahead, outward)))


def _slope(slope_deg: float) -> Slope:
    if abs(slope_deg) < _LEVEL_DEG:
        return "level"
    return "up" if slope_deg > 0 else "down"


def _band_cm(setup: Setup, pose: Pose) -> int:
    return round(math.dist(setup.anchor_m, pose.hand_m) * 100)


def _anchor_side(setup: Setup, side: Side) -> Side | Literal["front", "back"]:
    """Left or right, or front or back if the client faces the anchor or faces away from it."""
    turn = _TURNS[round(setup.body_turn_deg / _EIGHTH_DEG)]
    if turn == "facing":
        return "front"
    if turn == "away":
        return "back"
    return "right" if _bearing_deg(setup, side) > 0 else "left"


def _bearing_deg(setup: Setup, side: Side) -> float:
    """The angle from where the client faces to the anchor in degrees, positive to the right."""
    ahead, outward, _ = setup.anchor_m
    return math.degrees(math.atan2(outward if side == "right" else -outward, ahead))


def _oclock(setup: Setup, side: Side) -> str:
    """The direction to the anchor as a time on a clock face; half an hour is 15 degrees."""
    half_hours = round(_bearing_deg(setup, side) / 15)
    hours, half = divmod(half_hours % 24, 2)
    return f"{hours or 12}:{'30' if half else '00'}"

"""The setup as a client sees it on the screen: what one page tells, with its lengths as measured lines.

On paper both poses and all lengths are on one drawing (`scene.py`). A screen is coarser and is read from a few steps
away, so each of its drawings shows less.
"""

import math

from msgspec.structs import replace

from coach.drawing.figure import (
    arm_and_hand,
    arm_stroke,
    feet,
    legs,
    limb_strokes,
    other_arm,
    trunk_half_m,
    upper_body,
)
from coach.drawing.projection import Projection, projection, seen
from coach.drawing.scene import anchor_stroke, cross, facing_arrow, facing_tip_m, standing_body, stands_on_band
from coach.drawing.shapes import Label, PagePoint, Scene, Side, Stroke, arrow, bounds, halfway
from coach.mechanics.setup import Setup
from coach.mechanics.vector import MARK_M, Vector, minus, plus, times

# Distances on the page, in metres.
_MEASURED_BELOW_M, _NAMED_BELOW_M, _CROSS_HALF_M = 0.32, 0.16, 0.05
_BESIDE_M, _BELOW_M, _ABOVE_M = 0.16, 0.07, 0.05
_BOW_M, _BOWED_FROM_M, _BOW_PARTS, _HEAD_M = 0.13, 0.05, 12, 0.07


def place_on_screen(setup: Setup, side: Side) -> Scene:
    """Where to stand and which way to face, from above, with the arm at the start."""
    page = projection(setup, side, "from_above")
    anchor, mark = page(setup.anchor_m), page(MARK_M)
    body = standing_body(setup, page)
    arm = (
        Stroke("band_now", (page(setup.start.hand_m), anchor)),
        *arm_and_hand(setup.start, page),
        *facing_arrow(setup, page),
        anchor_stroke(anchor),
    )
    facing = Label("facing", page((facing_tip_m(setup), 0.0, 0.0)))
    if stands_on_band(setup):
        strokes: tuple[Stroke, ...] = (*body, *arm)
        return Scene(strokes, (Label("underfoot", anchor), facing), *bounds(strokes))
    level = mark[1] - _MEASURED_BELOW_M
    strokes = (
        *body,
        Stroke("measure", ((anchor[0], level), (mark[0], level))),
        Stroke("ground", ((anchor[0], level), anchor)),
        Stroke("ground", ((mark[0], level), mark)),
        *arm,
        cross(mark),
    )
    labels = (
        Label("place", (anchor[0], anchor[1] + _ABOVE_M)),
        Label("distance", halfway((anchor[0], level), (mark[0], level))),
        Label("mark", (mark[0], mark[1] - _NAMED_BELOW_M)),
        facing,
    )
    return Scene(strokes, labels, *bounds(strokes))


def arm_on_screen(setup: Setup, side: Side) -> Scene:
    """The arm at the start and the end of its way, from the side, and how high the anchor is."""
    page = projection(setup, side, "from_the_side")
    anchor, mark = page(setup.anchor_m), page(MARK_M)
    outside = -1 if anchor[0] < mark[0] else 1
    beyond = _is_beyond_the_trunk(setup)
    way = _way(tuple(page(point) for point in setup.hand_path_m))
    strokes: tuple[Stroke, ...] = (
        *limb_strokes((*legs(setup), *feet(setup), *upper_body(setup), *other_arm(setup)), page),
        *way,
        *(_half_hidden(setup, page) if beyond else _in_sight(setup, page)),
        anchor_stroke(anchor),
    )
    start = Label("in_front" if beyond else "start", page(setup.start.hand_m))
    ends = (start, Label("end", page(setup.end.hand_m)))
    if stands_on_band(setup):
        return Scene(strokes, (Label("underfoot", anchor), *ends), *bounds(strokes))
    beside = anchor[0] + outside * _BESIDE_M
    strokes = (
        *strokes,
        Stroke("measure", ((anchor[0], 0.0), (mark[0], 0.0))),
        Stroke("measure", ((beside, 0.0), (beside, anchor[1]))),
        Stroke("mark", ((mark[0] - _CROSS_HALF_M, -_BELOW_M), (mark[0] + _CROSS_HALF_M, -_BELOW_M))),
    )
    labels = (
        Label("height", (anchor[0], anchor[1] / 2)),
        Label("distance", halfway((anchor[0], 0.0), (mark[0], 0.0))),
        Label("anchor", anchor),
        Label("mark", (mark[0], 0.0)),
        *ends,
    )
    return Scene(strokes, labels, *bounds(strokes))


def _is_beyond_the_trunk(setup: Setup) -> bool:
    """Whether the client's own trunk hides the hand at the start."""
    ahead, outward, up = setup.start.hand_m
    is_behind = seen(setup, "from_the_side") == "from_behind"
    return is_behind and ahead > 0 and abs(outward) < trunk_half_m(setup, up)


def _in_sight(setup: Setup, page: Projection) -> tuple[Stroke, ...]:
    return Stroke("band_now", (page(setup.start.hand_m), page(setup.anchor_m))), *arm_and_hand(setup.start, page)


def _half_hidden(setup: Setup, page: Projection) -> tuple[Stroke, ...]:
    """The arm and the band, with dashes where the trunk is in front of them."""
    hand, elbow, shoulder = setup.start.hand_m, setup.start.elbow_m, setup.start.shoulder_m
    at_band, at_arm = (_leaves_trunk(setup, hand, to) for to in (setup.anchor_m, elbow))
    upper = arm_and_hand(setup.start, page)[1]
    return (
        Stroke("band_start", (page(hand), page(at_band))),
        Stroke("band_now", (page(at_band), page(setup.anchor_m))),
        replace(arm_stroke(setup.start, "arm_start", page), points=(page(hand), page(at_arm))),
        replace(arm_stroke(setup.start, "arm_now", page), points=(page(at_arm), page(elbow), page(shoulder))),
        upper,
    )


def _leaves_trunk(setup: Setup, hand: Vector, to: Vector) -> Vector:
    """Where a line from the hand comes out at the side of the trunk; its end where it does not."""
    half, run = trunk_half_m(setup, hand[2]), to[1] - hand[1]
    if abs(to[1]) <= half:
        return to
    edge = half if run > 0 else -half
    return plus(hand, times((edge - hand[1]) / run, minus(to, hand)))


def _way(path: tuple[PagePoint, ...]) -> tuple[Stroke, ...]:
    """The way of the hand with an arrow head; where it is seen as a straight line, it bows below the arm."""
    (x, y), (to_x, to_y) = path[0], path[-1]
    long = math.dist(path[0], path[-1]) or 1.0
    off = max(abs((to_x - x) * (y - at_y) - (x - at_x) * (to_y - y)) / long for at_x, at_y in path)
    if off < _BOWED_FROM_M:
        parts = [number / _BOW_PARTS for number in range(_BOW_PARTS + 1)]
        path = tuple((x + (to_x - x) * at, y + (to_y - y) * at - 4 * _BOW_M * at * (1 - at)) for at in parts)
    head = arrow("facing", path[-2], path[-1], _HEAD_M)[1:]
    return Stroke("facing", path), *head

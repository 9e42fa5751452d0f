"""The setup as a client sees it on the screen: what one page tells, with its lengths as measured lines.

On paper both poses and all lengths are on one drawing (`scene.py`). A screen is coarser and is read from a few steps
away, so each of its drawings shows less.
"""

from coach.drawing.figure import arm_stroke, feet, hand_stroke, legs, limb_strokes, upper_body
from coach.drawing.projection import projection
from coach.drawing.scene import anchor_stroke, facing_arrow, facing_tip_m, halfway, stands_on_band
from coach.drawing.shapes import Label, Scene, Side, Stroke, bounds
from coach.mechanics.setup import Setup
from coach.mechanics.vector import MARK_M

# Distances on the page, in metres.
_STRIP_FROM_M, _STRIP_TO_M, _STRIP_WIDTH_M = 0.10, 0.34, 0.05
_BESIDE_M, _BELOW_M, _ABOVE_M = 0.16, 0.14, 0.15


def place_on_screen(setup: Setup, side: Side) -> Scene:
    """Where to stand and which way to face, from above, with the arm at the start."""
    page = projection(setup, side, "from_above")
    anchor, mark = page(setup.anchor_m), page(MARK_M)
    body = (*limb_strokes(feet(setup), page), *limb_strokes(upper_body(setup), page))
    arm = (
        Stroke("band_now", (page(setup.start.hand_m), anchor)),
        arm_stroke(setup.start, "arm_now", page),
        hand_stroke(setup.start, "arm_now", page),
        *facing_arrow(setup, page),
        anchor_stroke(anchor),
    )
    facing = Label("facing", page((facing_tip_m(setup), 0.0, 0.0)))
    if stands_on_band(setup):
        strokes: tuple[Stroke, ...] = (*body, *arm)
        return Scene(strokes, (Label("underfoot", anchor), facing), *bounds(strokes))
    strip, level = (mark[0], mark[1] - _STRIP_FROM_M), mark[1] - _STRIP_TO_M
    strokes = (
        *body,
        Stroke("measure", ((anchor[0], level), (mark[0], level))),
        Stroke("ground", ((anchor[0], level), anchor)),
        *arm,
        Stroke("mark", (strip, (mark[0], level)), _STRIP_WIDTH_M),
    )
    labels = (
        Label("distance", halfway((anchor[0], level), (mark[0], level))),
        Label("height", (anchor[0], anchor[1] + _ABOVE_M)),
        Label("anchor", anchor),
        Label("mark", (mark[0], level)),
        facing,
    )
    return Scene(strokes, labels, *bounds(strokes))


def arm_on_screen(setup: Setup, side: Side) -> Scene:
    """The arm at the start and the end of its way, from the side, and how high the anchor is."""
    page = projection(setup, side, "from_the_side")
    anchor, mark = page(setup.anchor_m), page(MARK_M)
    outside = -1 if anchor[0] < mark[0] else 1
    strokes: tuple[Stroke, ...] = (
        *limb_strokes(legs(setup), page),
        *limb_strokes(feet(setup), page),
        *limb_strokes(upper_body(setup), page),
        Stroke("path", tuple(page(point) for point in setup.hand_path_m)),
        Stroke("band_now", (page(setup.start.hand_m), anchor)),
        arm_stroke(setup.start, "arm_now", page),
        hand_stroke(setup.start, "arm_now", page),
        anchor_stroke(anchor),
    )
    ends = (Label("start", page(setup.start.hand_m)), Label("end", page(setup.end.hand_m)))
    if stands_on_band(setup):
        return Scene(strokes, (Label("underfoot", anchor), *ends), *bounds(strokes))
    beside = anchor[0] + outside * _BESIDE_M
    strokes = (
        *strokes,
        Stroke("measure", ((anchor[0], 0.0), (mark[0], 0.0))),
        Stroke("measure", ((beside, 0.0), (beside, anchor[1]))),
        Stroke("mark", ((mark[0], -_BELOW_M / 2), (mark[0], -_BELOW_M / 2)), _STRIP_WIDTH_M),
    )
    labels = (
        Label("height", (anchor[0], anchor[1] / 2)),
        Label("distance", halfway((anchor[0], 0.0), (mark[0], 0.0))),
        Label("anchor", anchor),
        Label("mark", (mark[0], 0.0)),
        *ends,
    )
    return Scene(strokes, labels, *bounds(strokes))

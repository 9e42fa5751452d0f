"""The setup as it is drawn before the first repetition: from above and from the side."""

from coach.drawing.figure import arm_stroke, feet, legs, limb_strokes, upper_body
from coach.drawing.projection import Projection, projection
from coach.drawing.shapes import Label, PagePoint, Scene, Side, Stroke, arrow, bounds, halfway
from coach.mechanics.setup import Setup
from coach.mechanics.vector import MARK_M

# Distances on the page, in metres.
_MEASURED_BELOW_M, _CROSS_HALF_M, _CROSS_WIDTH_M = 0.40, 0.05, 0.015
_ARROW_BEYOND_M, _ARROW_M, _ARROW_HEAD_M, _ARROW_CLEAR_M = 0.06, 0.24, 0.11, 0.15
_ANCHOR_HALF_M, _ANCHOR_WIDTH_M = 0.05, 0.04
_GROUND_BEYOND_M, _TICK_M = 0.15, 0.09


def from_above(setup: Setup, side: Side) -> Scene:
    """The client, the arm at start and end, the band, the anchor and the floor mark, from above."""
    page = projection(setup, side, "from_above")
    anchor, mark = page(setup.anchor_m), page(MARK_M)
    below_mark, below_anchor = ((x, mark[1] - _MEASURED_BELOW_M) for x in (mark[0], anchor[0]))
    floor = (
        Stroke("ground", (below_anchor, below_mark)),
        Stroke("ground", (below_anchor, anchor)),
        Stroke("ground", (below_mark, mark)),
        cross(mark),
    )
    strokes = (
        *standing_body(setup, page),
        *(() if stands_on_band(setup) else floor),
        *_arms_and_bands(setup, page),
        *facing_arrow(setup, page),
        anchor_stroke(anchor),
    )
    labels = (
        *_anchor_labels(setup, anchor, below_mark, halfway(below_anchor, below_mark)),
        Label("start", page(setup.start.hand_m)),
        Label("end", page(setup.end.hand_m)),
        Label("facing", page((facing_tip_m(setup), 0.0, 0.0))),
    )
    return Scene(strokes, labels, *bounds(strokes))


def from_the_side(setup: Setup, side: Side) -> Scene:
    """The same from the side, perpendicular to the vertical plane through the mark and the anchor."""
    page = projection(setup, side, "from_the_side")
    anchor, mark = page(setup.anchor_m), page(MARK_M)
    floor = (anchor[0], 0.0)
    beyond = _GROUND_BEYOND_M if anchor[0] < mark[0] else -_GROUND_BEYOND_M
    strokes = (
        *limb_strokes(legs(setup), page),
        *limb_strokes(feet(setup), page),
        *limb_strokes(upper_body(setup), page),
        Stroke("ground", ((anchor[0] - beyond, 0.0), (mark[0] + 2 * beyond, 0.0))),
        *(() if stands_on_band(setup) else (Stroke("ground", (floor, anchor)),)),
        *_arms_and_bands(setup, page),
        *(() if stands_on_band(setup) else (Stroke("mark", ((mark[0], -_TICK_M), mark), _ANCHOR_WIDTH_M),)),
        anchor_stroke(anchor),
    )
    labels = (
        *_anchor_labels(setup, anchor, (mark[0], -_TICK_M), halfway(floor, mark)),
        Label("start", page(setup.start.hand_m)),
        Label("end", page(setup.end.hand_m)),
    )
    return Scene(strokes, labels, *bounds(strokes))


def standing_body(setup: Setup, page: Projection) -> tuple[Stroke, ...]:
    """The trunk and the feet from above; the head would hide the feet, and the mark between them."""
    trunk = tuple(limb for limb in upper_body(setup) if limb.role == "trunk")
    return (*limb_strokes(feet(setup), page), *limb_strokes(trunk, page))


def cross(at: PagePoint) -> Stroke:
    """The mark on the floor, from above, as one line."""
    x, y = at
    top, bottom = (x, y + _CROSS_HALF_M), (x, y - _CROSS_HALF_M)
    return Stroke("mark", (top, at, (x - _CROSS_HALF_M, y), (x + _CROSS_HALF_M, y), at, bottom), _CROSS_WIDTH_M)


def stands_on_band(setup: Setup) -> bool:
    """Whether the client stands on the band, so that there is no mark and no distance."""
    return setup.placement.anchor.kind == "foot"


def _anchor_labels(setup: Setup, anchor: PagePoint, mark: PagePoint, between: PagePoint) -> tuple[Label, ...]:
    if stands_on_band(setup):
        return (Label("underfoot", anchor),)
    return Label("anchor", anchor), Label("mark", mark), Label("distance", between)


def _arms_and_bands(setup: Setup, page: Projection) -> tuple[Stroke, ...]:
    """The path of the hand, and the arm and the band at the start and the end of the arc."""
    anchor = page(setup.anchor_m)
    return (
        Stroke("path", tuple(page(point) for point in setup.hand_path_m)),
        Stroke("band_start", (page(setup.start.hand_m), anchor)),
        arm_stroke(setup.start, "arm_start", page),
        Stroke("band_end", (page(setup.end.hand_m), anchor)),
        arm_stroke(setup.end, "arm_end", page),
    )


def anchor_stroke(at: PagePoint) -> Stroke:
    """The anchor as a short upright bar."""
    x, y = at
    return Stroke("anchor", ((x, y - _ANCHOR_HALF_M), (x, y + _ANCHOR_HALF_M)), _ANCHOR_WIDTH_M)


def facing_arrow(setup: Setup, page: Projection) -> tuple[Stroke, ...]:
    """An arrow on the floor in front of the client, in the direction that the client faces."""
    tip = facing_tip_m(setup)
    return arrow("facing", page((tip - _ARROW_M, 0.0, 0.0)), page((tip, 0.0, 0.0)), _ARROW_HEAD_M)


def facing_tip_m(setup: Setup) -> float:
    """How far in front of the mark the arrow ends, in metres; it starts beyond the toes and the path of the hand."""
    in_its_way = (hand[0] for hand in setup.hand_path_m if abs(hand[1]) < _ARROW_CLEAR_M)
    return max((setup.motion.body.foot_m, *in_its_way)) + _ARROW_BEYOND_M + _ARROW_M

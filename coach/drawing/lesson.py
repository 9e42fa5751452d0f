"""The right form, and the same movement with one fault, for the page that shows what will be asked about.

How far each fault is drawn is our own choice: far enough to be seen in a small window. Nothing is computed from it.
"""

import math
from collections.abc import Callable, Mapping

from msgspec.structs import replace

from coach.drawing.figure import arm_stroke, hand_stroke, limb_strokes, upper_body
from coach.drawing.moving_arm import arm_scene, best_viewpoint
from coach.drawing.projection import Projection, Viewpoint, projection
from coach.drawing.shapes import Scene, Side, Stroke
from coach.mechanics.motion.motion import Pose
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector, plus, times
from coach.model.content_entries import WrongForm

_SHOULDER_M, _ELBOW_M, _HAND_M, _SAG_M, _THUMB_M, _AROUND_M = 0.14, 0.14, 0.12, 0.16, 0.10, 0.04
_TRUNK_DEG, _REACHED = 25.0, 0.6
_SLACK_UNTIL = 0.4  # of the way out
_THUMB_WIDTH_M = 0.02
_LIFTED = -0.8  # an upper arm that points less far down than this is lifted
# The blade from its edge at the spine to the shoulder, seen from above, and how far it slides with the shoulder.
_BLADE_FROM_SPINE_M, _BLADE_BEHIND_M, _BLADE_WIDTH_M, _BLADE_SLIDES = 0.05, 0.07, 0.035, 0.5
_SHOULDER_WIDTH_M = 0.16
_OF_THE_BLADE = ("shoulder_back", "shoulder_forward")
_FROM_ABOVE = ("shoulder_back", "shoulder_forward", "trunk_turns", "band_slack")
_FROM_THE_SIDE = ("shoulder_up", "thumb_down", "arm_bends")


def lesson_scene(setup: Setup, side: Side, fraction: float, wrong: WrongForm | None, faulty: bool) -> Scene:
    """One frame of the right form, or with `faulty` of the fault `wrong`; both show the same part of the page.

    `fraction` is the way of the hand from the start of the arc (0) to its end (1).
    """
    view = _viewpoint(setup, wrong)
    start, end = setup.start.q, setup.end.q
    way = fraction * _REACHED if faulty and wrong == "hand_short" else fraction
    q = start + way * (end - start)
    right = arm_scene(setup, side, q, view)
    page, should = projection(setup, side, view), setup.motion.pose(q)
    pose = should
    if faulty and wrong is not None and wrong in MOVED_ARMS:
        pose = MOVED_ARMS[wrong](pose, fraction)
    strokes = tuple(_redrawn(stroke, setup, pose, page) for stroke in right.strokes)
    if wrong in _OF_THE_BLADE:
        strokes = (_shoulder(pose, page), *strokes, _blade(setup, pose, page))
    if pose != should:
        strokes = (*strokes, replace(arm_stroke(should, "facing", page), width_m=0.0))
    if faulty and wrong == "trunk_turns":
        strokes = tuple(_turned_body(setup, page, fraction, strokes))
    if faulty and wrong == "band_slack" and fraction < _SLACK_UNTIL:
        strokes = tuple(_sagging(stroke) if stroke.role == "band_now" else stroke for stroke in strokes)
    if wrong == "thumb_down":
        strokes = (*strokes, _thumb(pose, page, -1.0 if faulty else 1.0))
    low, high = right.low, right.high
    return replace(
        right,
        strokes=strokes,
        low=(low[0] - _AROUND_M, low[1] - _AROUND_M),
        high=(high[0] + _AROUND_M, high[1] + _AROUND_M),
    )


def seen_from_above(setup: Setup, wrong: WrongForm | None) -> bool:
    """Whether a lesson on this fault is drawn from above."""
    return _viewpoint(setup, wrong) == "from_above"


def _viewpoint(setup: Setup, wrong: WrongForm | None) -> Viewpoint:
    """The viewpoint from which the fault is seen best."""
    if wrong in _FROM_ABOVE:
        return "from_above"
    lifted = setup.start.upper_arm[2] > _LIFTED
    if wrong in _FROM_THE_SIDE or (wrong == "elbow_away" and lifted):
        return "from_the_side"
    return best_viewpoint(setup)


def _redrawn(stroke: Stroke, setup: Setup, pose: Pose, page: Projection) -> Stroke:
    if stroke.role == "arm_now" and len(set(stroke.points)) == 1:
        return hand_stroke(pose, "arm_now", page)
    if stroke.role == "arm_now":
        return arm_stroke(pose, "arm_now", page)
    if stroke.role == "band_now":
        return replace(stroke, points=(page(pose.hand_m), page(setup.anchor_m)))
    return stroke


def _moved(pose: Pose, *, shoulder: Vector = (0, 0, 0), elbow: Vector = (0, 0, 0), hand: Vector = (0, 0, 0)) -> Pose:
    return replace(
        pose,
        shoulder_m=plus(pose.shoulder_m, shoulder),
        elbow_m=plus(pose.elbow_m, elbow),
        hand_m=plus(pose.hand_m, hand),
    )


def _all(pose: Pose, by: Vector) -> Pose:
    return _moved(pose, shoulder=by, elbow=by, hand=by)


def _elbow_away(pose: Pose, fraction: float) -> Pose:
    """The elbow leaves the body; a lifted one sinks."""
    lifted = pose.upper_arm[2] > _LIFTED
    by = times(_ELBOW_M * fraction, (0.0, 0.0, -1.0) if lifted else (0.0, 1.0, 0.0))
    return _moved(pose, elbow=by, hand=by)


def _arm_bends(pose: Pose, fraction: float) -> Pose:
    """The hand comes nearer to the shoulder than a straight arm lets it."""
    nearer = times(-2 * _HAND_M * fraction, pose.forearm)
    return _moved(pose, elbow=(0.0, 0.0, -_HAND_M * fraction), hand=nearer)


def _trunk_turned(pose: Pose, fraction: float) -> Pose:
    def turned(point: Vector) -> Vector:
        return _turned(point, fraction)

    return replace(pose, shoulder_m=turned(pose.shoulder_m), elbow_m=turned(pose.elbow_m), hand_m=turned(pose.hand_m))


MOVED_ARMS: Mapping[WrongForm, Callable[[Pose, float], Pose]] = {
    "shoulder_back": lambda pose, fraction: _moved(
        pose, shoulder=(-_SHOULDER_M * fraction, 0, 0), elbow=(-_SHOULDER_M * fraction, 0, 0)
    ),
    "shoulder_forward": lambda pose, fraction: _moved(
        pose, shoulder=(_SHOULDER_M * fraction, 0, 0), elbow=(_SHOULDER_M * fraction, 0, 0)
    ),
    "shoulder_up": lambda pose, fraction: _all(pose, (0, 0, _SHOULDER_M * fraction)),
    "elbow_away": _elbow_away,
    "trunk_turns": _trunk_turned,
    "arm_bends": _arm_bends,
    "past_the_end": lambda pose, fraction: _moved(
        pose, elbow=(-_ELBOW_M * fraction, 0, 0), hand=(-_ELBOW_M * fraction, 0, 0)
    ),
}
"""What each fault of the arm makes of a pose; there a thin line shows where the arm should be."""


def _turned(point: Vector, fraction: float) -> Vector:
    """A point of the body with the trunk turned outward."""
    angle = math.radians(_TRUNK_DEG) * fraction
    ahead, outward, up = point
    return (
        ahead * math.cos(angle) - outward * math.sin(angle),
        ahead * math.sin(angle) + outward * math.cos(angle),
        up,
    )


def _turned_body(setup: Setup, page: Projection, fraction: float, strokes: tuple[Stroke, ...]) -> list[Stroke]:
    body = [
        replace(limb, ends=(_turned(limb.ends[0], fraction), _turned(limb.ends[1], fraction)))
        for limb in upper_body(setup)
    ]
    others = [stroke for stroke in strokes if stroke.role not in ("trunk", "head")]
    feet = [stroke for stroke in others if stroke.role == "feet"]
    rest = [stroke for stroke in others if stroke.role != "feet"]
    return [*feet, *limb_strokes(tuple(body), page), *rest]


def _sagging(band: Stroke) -> Stroke:
    """A band that hangs in a curve instead of running straight."""
    (x, y), (to_x, to_y) = band.points[0], band.points[-1]
    parts = [number / 6 for number in range(7)]
    return replace(
        band,
        points=tuple(
            (x + (to_x - x) * part, y + (to_y - y) * part - 4 * _SAG_M * part * (1 - part)) for part in parts
        ),
    )


def _shoulder(pose: Pose, page: Projection) -> Stroke:
    """The part of the trunk that goes with the shoulder."""
    ahead, outward, up = pose.shoulder_m
    return Stroke("trunk", (page((ahead / 2, outward / 2, up)), page((ahead, outward, up))), _SHOULDER_WIDTH_M)


def _blade(setup: Setup, pose: Pose, page: Projection) -> Stroke:
    """The shoulder blade from above; it goes with the shoulder, its edge at the spine less far."""
    slid = pose.shoulder_m[0] - setup.motion.shoulder_m[0]
    edge = (_BLADE_SLIDES * slid - _BLADE_BEHIND_M, _BLADE_FROM_SPINE_M + min(slid, 0.0) / 4, pose.shoulder_m[2])
    return Stroke("facing", (page(edge), page(pose.shoulder_m)), _BLADE_WIDTH_M)


def _thumb(pose: Pose, page: Projection, up: float) -> Stroke:
    tip = plus(pose.hand_m, (0.0, 0.0, up * _THUMB_M))
    return Stroke("arm_now", (page(pose.hand_m), page(tip)), _THUMB_WIDTH_M)

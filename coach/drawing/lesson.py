"""The right form, and the same movement with one fault, for the page that shows what will be asked about.

How far each fault is drawn is our own choice: far enough to be seen in a small window. Nothing is computed from it.
"""

import math
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from coach.drawing.figure import arm_and_hand, arm_stroke, limb_strokes, upper_body
from coach.drawing.moving_arm import arm_scene, best_viewpoint
from coach.drawing.projection import Projection, Viewpoint, projection
from coach.drawing.shapes import Label, PagePoint, Scene, Side, Stroke, arrow, bounds
from coach.mechanics.motion.motion import Pose
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector, plus, times
from coach.model.content_entries import WrongForm

_SHOULDER_M, _ELBOW_M, _HAND_M, _SAG_M, _THUMB_M, _AROUND_M = 0.20, 0.20, 0.16, 0.20, 0.14, 0.02
_WORDS_M = 0.08  # room for the words below a part
_TRUNK_DEG, _REACHED = 40.0, 0.5
_SLACK_UNTIL = 0.4  # of the way out
_THUMB_WIDTH_M = 0.03
_LIFTED = -0.8  # an upper arm that points less far down than this is lifted
# The blade from its edge at the spine to the shoulder, seen from above, and how far it slides with the shoulder.
_BLADE_FROM_SPINE_M, _BLADE_BEHIND_M, _BLADE_WIDTH_M, _BLADE_SLIDES = 0.05, 0.07, 0.035, 0.5
_SHOULDER_WIDTH_M, _CHEST_M = 0.16, 0.18
_HEAD_M, _CLEAR_M = 0.065, 0.065  # of the arrow: its head, and the gap before the part that it points to
_ASIDE: Vector = (0.0, 0.13, 0.0)  # where a part moves along the arm, the arrow is beside it
_OF_THE_BLADE = ("shoulder_back", "shoulder_forward")
_FROM_ABOVE = ("shoulder_back", "shoulder_forward", "trunk_turns", "band_slack")
_FROM_THE_SIDE = ("shoulder_up", "thumb_down", "arm_bends")
_AT_THE_LINE = ("hand_short", "past_the_end")
_Part = Literal["shoulder", "elbow", "hand"]
_MOVED_PARTS: Mapping[WrongForm, _Part] = {
    "shoulder_back": "shoulder",
    "shoulder_forward": "shoulder",
    "shoulder_up": "shoulder",
    "trunk_turns": "shoulder",
    "elbow_away": "elbow",
    "arm_bends": "elbow",
    "past_the_end": "elbow",
}
_ALONG_THE_ARM = ("shoulder_up", "past_the_end")
_PLACES = (0.0, 0.5, 1.0)  # parts of the way; labels keep clear of the lines at all of them


class LessonScenes(Struct, frozen=True, dict=True):
    """The frames of the right form and of the fault `wrong`; all show the same part of the page."""

    setup: Setup
    side: Side
    wrong: WrongForm | None

    def scene(self, fraction: float, faulty: bool) -> Scene:
        """One frame; `fraction` is the way of the hand from the start of the arc (0) to its end (1)."""
        low, high = self._in_sight
        strokes = _strokes(self.setup, self.side, fraction, self.wrong, faulty)
        return Scene(strokes, self._labels[faulty], low, high, self._places[faulty])

    @cached_property
    def _places(self) -> tuple[tuple[Stroke, ...], tuple[Stroke, ...]]:
        right, wrong = (
            tuple(one for at in _PLACES for one in _strokes(self.setup, self.side, at, self.wrong, faulty))
            for faulty in (False, True)
        )
        return right, wrong

    @cached_property
    def _labels(self) -> tuple[tuple[Label, ...], tuple[Label, ...]]:
        if self.wrong is None:
            return (), ()
        page = projection(self.setup, self.side, lesson_viewpoint(self.setup, self.wrong))
        right, wrong = (Label("part", _named_point(self.setup, page, self.wrong, one)) for one in (False, True))
        return (right,), (wrong,)

    @cached_property
    def _in_sight(self) -> tuple[PagePoint, PagePoint]:
        """The arm all the way, the right one and the wrong one, up to the middle of the body: the rest is cut off."""
        page = projection(self.setup, self.side, lesson_viewpoint(self.setup, self.wrong))
        shoulder = self.setup.motion.shoulder_m
        middle = Stroke("trunk", tuple(page(point) for point in (shoulder, (0.0, 0.0, shoulder[2]))), _CHEST_M)
        shown = ("arm_now", "should", "moved", "reach", "path")
        drawn = (one for strokes in self._places for one in strokes if one.role in shown)
        low, high = bounds((middle, *drawn))
        return (low[0] - _AROUND_M, low[1] - _WORDS_M), (high[0] + _AROUND_M, high[1] + _AROUND_M)


def lesson_scene(setup: Setup, side: Side, fraction: float, wrong: WrongForm | None, faulty: bool) -> Scene:
    """One frame of the right form, or with `faulty` of the fault."""
    return LessonScenes(setup, side, wrong).scene(fraction, faulty)


def _strokes(setup: Setup, side: Side, fraction: float, wrong: WrongForm | None, faulty: bool) -> tuple[Stroke, ...]:
    view = lesson_viewpoint(setup, wrong)
    start, end = setup.start.q, setup.end.q
    way = fraction * _REACHED if faulty and wrong == "hand_short" else fraction
    q = start + way * (end - start)
    page, should = projection(setup, side, view), setup.motion.pose(q)
    moved = MOVED_ARMS.get(wrong) if faulty and wrong is not None else None
    pose = should if moved is None else moved(should, fraction)
    not_drawn = ("arm_now", *(() if wrong in _AT_THE_LINE else ("path", "reach")))
    drawn = (stroke for stroke in arm_scene(setup, side, q, view).strokes if stroke.role not in not_drawn)
    strokes = (*(_redrawn(stroke, setup, pose, page) for stroke in drawn), *arm_and_hand(pose, page))
    if wrong in _OF_THE_BLADE:
        strokes = (_shoulder(pose, page), *strokes, _blade(setup, pose, page))
    if moved is not None and wrong is not None:
        strokes = (*strokes, replace(arm_stroke(should, "should", page), width_m=0.0), *_arrow(setup, page, wrong))
    if faulty and wrong == "trunk_turns":
        strokes = tuple(_turned_body(setup, page, fraction, strokes))
    if faulty and wrong == "band_slack" and fraction < _SLACK_UNTIL:
        strokes = tuple(_sagging(stroke) if stroke.role == "band_now" else stroke for stroke in strokes)
    if wrong == "thumb_down":
        strokes = (*strokes, _thumb(pose, page, -1.0 if faulty else 1.0))
    return strokes


def lesson_viewpoint(setup: Setup, wrong: WrongForm | None) -> Viewpoint:
    """The viewpoint from which the fault is seen best."""
    if wrong in _FROM_ABOVE:
        return "from_above"
    lifted = setup.start.upper_arm[2] > _LIFTED
    if wrong in _FROM_THE_SIDE or (wrong == "elbow_away" and lifted):
        return "from_the_side"
    return best_viewpoint(setup)


def _moved_part(setup: Setup, wrong: WrongForm) -> tuple[Vector, Vector]:
    """Where the part that goes wrong belongs at the end of the way, and where it is."""
    should = setup.motion.pose(setup.end.q)
    poses = should, MOVED_ARMS[wrong](should, 1.0) if wrong in MOVED_ARMS else should
    aside = _ASIDE if wrong in _ALONG_THE_ARM else (0.0, 0.0, 0.0)
    part = _MOVED_PARTS.get(wrong, "hand")
    at, there = ({"shoulder": one.shoulder_m, "elbow": one.elbow_m, "hand": one.hand_m}[part] for one in poses)
    return plus(at, aside), plus(there, aside)


def _arrow(setup: Setup, page: Projection, wrong: WrongForm) -> tuple[Stroke, ...]:
    """An arrow from where the part belongs to where it ends up. It stays in its place while the arm moves."""
    (x, y), (to_x, to_y) = (page(point) for point in _moved_part(setup, wrong))
    short = _CLEAR_M / (math.hypot(to_x - x, to_y - y) or 1.0)
    return arrow("moved", (x, y), (to_x - short * (to_x - x), to_y - short * (to_y - y)), _HEAD_M)


def _named_point(setup: Setup, page: Projection, wrong: WrongForm, faulty: bool) -> PagePoint:
    """The point of the drawing whose part is named: where it belongs, or where it went."""
    if wrong == "band_slack":
        x, y = page(setup.start.hand_m)
        to_x, to_y = page(setup.anchor_m)
        return x + (to_x - x) / 6, y + (to_y - y) / 6 - (_SAG_M if faulty else 0.0)
    return page(_moved_part(setup, wrong)[faulty])


def _redrawn(stroke: Stroke, setup: Setup, pose: Pose, page: Projection) -> Stroke:
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
"""What each fault of the arm makes of a pose; there a dashed arm shows where it belongs."""


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
    return Stroke("blade", (page(edge), page(pose.shoulder_m)), _BLADE_WIDTH_M)


def _thumb(pose: Pose, page: Projection, up: float) -> Stroke:
    tip = plus(pose.hand_m, (0.0, 0.0, up * _THUMB_M))
    return Stroke("arm_now", (page(pose.hand_m), page(tip)), _THUMB_WIDTH_M)

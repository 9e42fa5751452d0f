"""The setup for a load step: anchor, mark, pose, load, and the effect of standing or fixing the band wrongly."""

import math
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Literal

from msgspec import Struct

from coach.mechanics.anchor import Anchor, ImpossibleAnchor
from coach.mechanics.anchor_placement import AnchorPlacement, place_anchor
from coach.mechanics.arm import elevation_deg
from coach.mechanics.body import body_of, nearest_landmark
from coach.mechanics.motion.motion import Motion, Pose
from coach.mechanics.motion.motions import motion_of
from coach.mechanics.torque import Arc, arc_at
from coach.mechanics.vector import Vector
from coach.model.exercise import Landmark, Position
from coach.model.load_step import LoadStep
from coach.model.prescription import Prescription
from coach.model.profile import Profile

SetupQuantity = Literal[
    "distance_cm", "height_cm", "turn_deg", "underfoot_cm", "gap_cm", "elevation_deg", "plane_deg", "line_cm"
]
SetupProblem = Literal["slack", "over", "impossible"]

# What a client is likely to be wrong by: a hand's breadth, and a third of an hour on a clock face; a band that
# slipped a little underfoot; at the elbow a gap that is closed or twice as wide, or a lifted arm that sinks or rises.
_WRONG_BY: tuple[tuple[SetupQuantity, int], ...] = (
    ("distance_cm", -10),
    ("distance_cm", 10),
    ("height_cm", -10),
    ("height_cm", 10),
    ("turn_deg", -10),
    ("turn_deg", 10),
)
_WRONG_UNDERFOOT: tuple[tuple[SetupQuantity, int], ...] = (("underfoot_cm", -3), ("underfoot_cm", 3))
# Degrees, or centimetres: fine enough for the path of the hand to look round on paper.
_PATH_EVERY = 3
_WRONG_LINE_CM = 5  # a pull that runs this much too low or too high


class Sensitivity(Struct, frozen=True):
    """How the mean torque changes where one quantity is wrong by `change`, in the unit of its name."""

    what: SetupQuantity
    change: int
    mean_change: float | None
    """Relative change of the mean torque, 0.1 = a tenth more; None where the anchor is impossible."""
    problem: SetupProblem | None
    """Not taut by the limit taut_at_start, beyond the limit elongation_max, or in the body or floor."""


class Setup(Struct, frozen=True, dict=True):
    """Everything a client needs before the first repetition, and the points of its drawing in the body frame."""

    profile: Profile
    position: Position
    limits: Mapping[str, float]
    step: LoadStep
    placement: AnchorPlacement
    """Where the anchor is, and why there."""
    landmark: Landmark
    """The body landmark nearest to the anchor height."""
    motion: Motion
    """The client's arm on its way."""
    arc: Arc
    anchor_m: Vector

    @property
    def distance_cm(self) -> int:
        """Along the floor, from the mark to below the anchor; or the length of band underfoot."""
        return self.step.distance_cm

    @property
    def distance_feet(self) -> float:
        """The distance in lengths of the client's own foot."""
        return self.step.distance_cm / 100 / self.motion.body.foot_m

    @property
    def anchor_height_cm(self) -> int:
        """Of the anchor above the floor."""
        return self.placement.anchor_height_cm

    @property
    def body_turn_deg(self) -> float:
        """From facing the anchor."""
        return self.placement.body_turn_deg

    @cached_property
    def start(self) -> Pose:
        """The pose at the start of the arc."""
        return self.motion.pose(self.arc.q[0])

    @cached_property
    def end(self) -> Pose:
        """The pose at the end of the available range."""
        return self.motion.pose(self.arc.q[-1])

    @cached_property
    def hand_path_m(self) -> tuple[Vector, ...]:
        """Points on the path of the hand in the body frame, from the start to the end of the arc."""
        first, last = self.arc.q[0], self.arc.q[-1]
        parts = max(math.ceil((last - first) / _PATH_EVERY), 1)
        return tuple(self.motion.pose(first + (last - first) * part / parts).hand_m for part in range(parts + 1))

    @cached_property
    def sensitivities(self) -> tuple[Sensitivity, ...]:
        """The effect of each quantity being wrong by as much as a client is likely to be wrong."""
        return tuple(_sensitivities(self))


def setup_for(
    profile: Profile, prescription: Prescription, position: Position, step: LoadStep, limits: Mapping[str, float]
) -> Setup:
    """The setup of a load step. Raises ValueError for a band not on the shelf or an anchor inside the body."""
    body = body_of(profile)
    placement = place_anchor(profile, prescription, position, limits)
    arc = arc_at(profile, position, step, step.distance_cm, placement.anchor)
    return Setup(
        profile=profile,
        position=position,
        limits=limits,
        step=step,
        placement=placement,
        landmark=nearest_landmark(body, profile, placement.anchor_height_cm / 100),
        motion=motion_of(body, position),
        arc=arc,
        anchor_m=placement.anchor.point_m(body, step.distance_cm, position.anchor_side),
    )


def _sensitivities(setup: Setup) -> Iterator[Sensitivity]:
    profile, position, step, placement = setup.profile, setup.position, setup.step, setup.placement
    mean_nm, limits = setup.arc.mean_nm, setup.limits
    right: Mapping[SetupQuantity, float] = {
        "distance_cm": step.distance_cm,
        "underfoot_cm": step.distance_cm,
        "height_cm": placement.anchor_height_cm,
        "turn_deg": placement.body_turn_deg,
    }
    stands_on_it = placement.anchor.kind == "foot"
    for what, change in _WRONG_UNDERFOOT if stands_on_it else _WRONG_BY:
        wrong = {**right, what: right[what] + change}
        try:
            anchor = Anchor(wrong["height_cm"], wrong["turn_deg"], placement.anchor.kind)
            arc = arc_at(profile, position, step, wrong["underfoot_cm" if stands_on_it else "distance_cm"], anchor)
        except ImpossibleAnchor:
            yield Sensitivity(what, change, None, "impossible")
        else:
            yield Sensitivity(what, change, arc.mean_nm / mean_nm - 1, _problem(arc, limits))
    for what, change, by_rad in _held_wrongly(profile, position):
        arc = arc_at(profile, position, step, step.distance_cm, placement.anchor, by_rad)
        yield Sensitivity(what, change, arc.mean_nm / mean_nm - 1, _problem(arc, limits))


def _held_wrongly(profile: Profile, position: Position) -> Iterator[tuple[SetupQuantity, int, float]]:
    """How the arm is likely to be held wrongly: what, by how much, and by which angle in radians that is."""
    body, gap_cm = body_of(profile), position.elbow_gap_cm
    if gap_cm:
        right_deg = elevation_deg(body, position)
        for change in (-round(gap_cm), round(gap_cm)):
            wrong = position.model_copy(update={"elbow_gap_cm": gap_cm + change})
            yield "gap_cm", change, math.radians(elevation_deg(body, wrong) - right_deg)
        return
    if position.coordinate == "path":
        for change in (-_WRONG_LINE_CM, _WRONG_LINE_CM):
            yield "line_cm", change, change / 100 / body.upper_arm_m
        return
    for change in (-10, 10):
        yield "elevation_deg" if position.rotates else "plane_deg", change, math.radians(change)


def _problem(arc: Arc, limits: Mapping[str, float]) -> SetupProblem | None:
    if min(arc.elongation) < limits["taut_at_start"]:
        return "slack"
    return "over" if max(arc.elongation) > limits["elongation_max"] else None

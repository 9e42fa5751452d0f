"""The setup for a load step: anchor, mark, pose, load, and the effect of standing or fixing the band wrongly."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from coach.mechanics.anchor import Anchor, ImpossibleAnchor
from coach.mechanics.anchor_placement import AnchorPlacement, place_anchor
from coach.mechanics.arm import Pose, RaisedArm, elevation_deg, pose, raise_arm_to
from coach.mechanics.body import body_of, nearest_landmark
from coach.mechanics.torque import Arc, arc_at
from coach.mechanics.vector import Vector
from coach.model.exercise import Landmark, Position
from coach.model.load_step import LoadStep
from coach.model.prescription import Prescription
from coach.model.profile import Profile

SetupQuantity = Literal["distance_cm", "height_cm", "turn_deg", "gap_cm", "elevation_deg"]
SetupProblem = Literal["slack", "over", "impossible"]

# What a client is likely to be wrong by: a hand's breadth, and a third of an hour on a clock face; at the elbow a gap
# that is closed or twice as wide, or a lifted arm that sinks or rises.
_WRONG_BY: tuple[tuple[SetupQuantity, int], ...] = (
    ("distance_cm", -10),
    ("distance_cm", 10),
    ("height_cm", -10),
    ("height_cm", 10),
    ("turn_deg", -10),
    ("turn_deg", 10),
)


@dataclass(frozen=True)
class Sensitivity:
    """How the mean torque changes where one quantity is wrong by `change`, in the unit of its name."""

    what: SetupQuantity
    change: int
    mean_change: float | None
    """Relative change of the mean torque, 0.1 = a tenth more; None where the anchor is impossible."""
    problem: SetupProblem | None
    """Not taut by the limit taut_at_start, beyond the limit elongation_max, or in the body or floor."""


@dataclass(frozen=True)
class Setup:
    """Everything a client needs before the first repetition, and the points of its drawing in the body frame."""

    step: LoadStep
    placement: AnchorPlacement
    """Where the anchor is, and why there."""
    landmark: Landmark
    """The body landmark nearest to the anchor height."""
    arm: RaisedArm
    """The client's arm in the position, before it rotates."""
    arc: Arc
    anchor_m: Vector
    sensitivities: tuple[Sensitivity, ...]

    @property
    def distance_cm(self) -> int:
        """Along the floor, from the mark to below the anchor."""
        return self.step.distance_cm

    @property
    def distance_feet(self) -> float:
        """The distance in lengths of the client's own foot."""
        return self.step.distance_cm / 100 / self.arm.body.foot_m

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
        return pose(self.arm, self.arc.rotation_deg[0])

    @cached_property
    def end(self) -> Pose:
        """The pose at the end of the available range."""
        return pose(self.arm, self.arc.rotation_deg[-1])


def setup_for(
    profile: Profile, prescription: Prescription, position: Position, step: LoadStep, limits: Mapping[str, float]
) -> Setup:
    """The setup of a load step. Raises ValueError for a band not on the shelf or an anchor inside the body."""
    body = body_of(profile)
    placement = place_anchor(profile, prescription, position, limits)
    arc = arc_at(profile, position, step, step.distance_cm, placement.anchor)
    return Setup(
        step=step,
        placement=placement,
        landmark=nearest_landmark(body, profile, placement.anchor_height_cm / 100),
        arm=raise_arm_to(body, position),
        arc=arc,
        anchor_m=placement.anchor.point_m(body, step.distance_cm, position.anchor_side),
        sensitivities=tuple(_sensitivities(profile, position, step, placement, arc.mean_nm, limits)),
    )


def _sensitivities(
    profile: Profile,
    position: Position,
    step: LoadStep,
    placement: AnchorPlacement,
    mean_nm: float,
    limits: Mapping[str, float],
) -> Iterator[Sensitivity]:
    """The effect of each quantity being wrong by as much as a client is likely to be wrong."""
    right: Mapping[SetupQuantity, float] = {
        "distance_cm": step.distance_cm,
        "height_cm": placement.anchor_height_cm,
        "turn_deg": placement.body_turn_deg,
    }
    for what, change in _WRONG_BY:
        wrong = {**right, what: right[what] + change}
        try:
            anchor = Anchor(wrong["height_cm"], wrong["turn_deg"])
            arc = arc_at(profile, position, step, wrong["distance_cm"], anchor)
        except ImpossibleAnchor:
            yield Sensitivity(what, change, None, "impossible")
        else:
            yield Sensitivity(what, change, arc.mean_nm / mean_nm - 1, _problem(arc, limits))
    for what, change, lifted_deg in _wrong_elbows(profile, position):
        arc = arc_at(profile, position, step, step.distance_cm, placement.anchor, lifted_deg)
        yield Sensitivity(what, change, arc.mean_nm / mean_nm - 1, _problem(arc, limits))


def _wrong_elbows(profile: Profile, position: Position) -> Iterator[tuple[SetupQuantity, int, float]]:
    """How the elbow is likely to be held wrongly: what, by how much, and the elevation in degrees that follows."""
    body, gap_cm = body_of(profile), position.elbow_gap_cm
    if not gap_cm:
        for change in (-10, 10):
            yield "elevation_deg", change, position.abduction_deg + change
        return
    for change in (-round(gap_cm), round(gap_cm)):
        wrong = position.model_copy(update={"elbow_gap_cm": gap_cm + change})
        yield "gap_cm", change, elevation_deg(body, wrong)


def _problem(arc: Arc, limits: Mapping[str, float]) -> SetupProblem | None:
    if min(arc.elongation) < limits["taut_at_start"]:
        return "slack"
    return "over" if max(arc.elongation) > limits["elongation_max"] else None

"""The setup for a load step: where the anchor is, where the client stands, and what it costs to be wrong."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from coach.mechanics.anchor import ImpossibleAnchor, anchor_m
from coach.mechanics.anchor_placement import Place, place_of
from coach.mechanics.arm import Pose, Raised, pose, raised_to
from coach.mechanics.body import body_of, nearest_landmark
from coach.mechanics.torque import Arc, arc_at
from coach.mechanics.vector import Vector
from coach.model.exercise import Landmark, Position
from coach.model.load_step import LoadStep
from coach.model.prescription import Prescription
from coach.model.profile import Profile

What = Literal["distance_cm", "height_cm", "turn_deg"]
Trouble = Literal["slack", "over", "impossible"]

# What a client is likely to be wrong by: a hand's breadth, and a third of an hour on a clock face.
_WRONG_BY: tuple[tuple[What, int], ...] = (
    ("distance_cm", -10),
    ("distance_cm", 10),
    ("height_cm", -10),
    ("height_cm", 10),
    ("turn_deg", -10),
    ("turn_deg", 10),
)


@dataclass(frozen=True)
class Sensitivity:
    """What the mean torque does where one thing is wrong by `change`."""

    what: What
    change: int
    mean_change: float | None
    """Relative change of the mean torque, 0.1 = a tenth more; None where the anchor is impossible."""
    trouble: Trouble | None
    """Not taut by the limit taut_at_start, beyond the limit elongation_max, or in the body or floor."""


@dataclass(frozen=True)
class Setup:
    """Everything a client needs before the first repetition, and the points of its drawing in the body frame."""

    step: LoadStep
    place: Place
    """Where the anchor is, and why there."""
    landmark: Landmark
    """The body landmark nearest to the anchor height."""
    arm: Raised
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
        return self.place.anchor_height_cm

    @property
    def body_turn_deg(self) -> float:
        """From facing the anchor."""
        return self.place.body_turn_deg

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
    place = place_of(profile, prescription, position, limits)
    height_cm, turn_deg = place.anchor_height_cm, place.body_turn_deg
    arc = arc_at(profile, position, step, step.distance_cm, height_cm, turn_deg)
    return Setup(
        step=step,
        place=place,
        landmark=nearest_landmark(body, profile, height_cm / 100),
        arm=raised_to(body, position),
        arc=arc,
        anchor_m=anchor_m(body, step.distance_cm / 100, height_cm / 100, turn_deg, position.anchor_side),
        sensitivities=tuple(_sensitivities(profile, position, step, place, arc.mean_nm, limits)),
    )


def _sensitivities(
    profile: Profile, position: Position, step: LoadStep, place: Place, mean_nm: float, limits: Mapping[str, float]
) -> Iterator[Sensitivity]:
    """What each thing does that is wrong by as much as a client is likely to be wrong."""
    right: Mapping[What, float] = {
        "distance_cm": step.distance_cm,
        "height_cm": place.anchor_height_cm,
        "turn_deg": place.body_turn_deg,
    }
    for what, change in _WRONG_BY:
        wrong = {**right, what: right[what] + change}
        try:
            arc = arc_at(profile, position, step, wrong["distance_cm"], wrong["height_cm"], wrong["turn_deg"])
        except ImpossibleAnchor:
            yield Sensitivity(what, change, None, "impossible")
        else:
            yield Sensitivity(what, change, arc.mean_nm / mean_nm - 1, _trouble(arc, limits))


def _trouble(arc: Arc, limits: Mapping[str, float]) -> Trouble | None:
    if arc.elongation[0] < limits["taut_at_start"]:
        return "slack"
    return "over" if max(arc.elongation) > limits["elongation_max"] else None

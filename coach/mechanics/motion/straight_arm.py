"""Raising or lowering the straight arm about the shoulder, in one plane."""

import math
from typing import ClassVar

from msgspec import Struct
from msgspec.structs import replace

from coach.mechanics.body import Body
from coach.mechanics.motion.motion import GRAVITY_M_S2, Pose
from coach.mechanics.vector import Vector, plus, times
from coach.model.exercise import Coordinate

_DOWN: Vector = (0.0, 0.0, -1.0)
SHOULDER_HEIGHT_DEG = 90.0


class StraightArm(Struct, frozen=True):
    """The straight arm in a plane of elevation, q in degrees.

    Raising, q is the angle from hanging; lowering, the angle from shoulder height. Both end 90 degrees from there.
    """

    body: Body
    plane_deg: float
    """0 frontal, 30 the plane of the shoulder blade, 90 sagittal."""
    lowers: bool = False
    coordinate: ClassVar[Coordinate] = "angle"
    farthest: ClassVar[float] = SHOULDER_HEIGHT_DEG

    @property
    def shoulder_m(self) -> Vector:
        """The middle of the exercising shoulder, in metres."""
        return (0.0, self.body.half_biacromial_m, self.body.shoulder_height_m)

    def hand_m(self, q: float) -> Vector:
        """The hand at q, in metres."""
        return plus(self.shoulder_m, times(self.body.arm_lever_m, self._along(q)))

    def hand_by_q(self, q: float) -> Vector:
        """The change of the hand, in metres for each radian."""
        return times(self.body.arm_lever_m, self._across(q))

    def energy_j(self, q: float) -> float:
        """The potential energy of the arm, from the height of the shoulder."""
        return GRAVITY_M_S2 * self.body.arm_mass_moment_kg_m * self._along(q)[2]

    def weight(self, q: float) -> float:
        """The torque of the arm's weight about the shoulder that has to be resisted, in newton metres."""
        return GRAVITY_M_S2 * self.body.arm_mass_moment_kg_m * self._across(q)[2]

    def hand_by_pose(self, q: float) -> Vector:
        """The change of the hand for each radian by which the plane of the arm is turned forward."""
        along, plane = self._along(q), math.radians(self.plane_deg)
        outward = math.hypot(along[0], along[1])
        turned = (math.cos(plane), -math.sin(plane), 0.0)
        return times(self.body.arm_lever_m * outward, turned)

    def energy_by_pose(self, q: float) -> float:  # noqa: ARG002 - the same at every height
        """None: the height of the arm is the same in every plane."""
        return 0.0

    def hand_by_lever(self, q: float) -> Vector:
        """The change of the hand for each metre that the lever from elbow to grip is longer."""
        return self._along(q)

    def energy_by_lever(self, q: float) -> float:  # noqa: ARG002 - the masses stay where they are
        """None: the centre of mass of forearm and hand does not depend on the grip."""
        return 0.0

    def held_otherwise(self, by_rad: float) -> "StraightArm":
        """The arm in a plane turned forward by this angle."""
        return replace(self, plane_deg=self.plane_deg + math.degrees(by_rad))

    def with_body(self, body: Body) -> "StraightArm":
        """The same motion of another body."""
        return replace(self, body=body)

    def pose(self, q: float) -> Pose:
        """The pose at q."""
        along = self._along(q)
        return Pose(
            q=q,
            shoulder_m=self.shoulder_m,
            elbow_m=plus(self.shoulder_m, times(self.body.upper_arm_m, along)),
            hand_m=self.hand_m(q),
            upper_arm=along,
            forearm=along,
            motion=self._across(q),
        )

    def _along(self, q: float) -> Vector:
        """From the shoulder to the hand."""
        first, then = self._first_and_then()
        return plus(times(math.cos(math.radians(q)), first), times(math.sin(math.radians(q)), then))

    def _across(self, q: float) -> Vector:
        """The direction in which the hand moves."""
        first, then = self._first_and_then()
        return plus(times(-math.sin(math.radians(q)), first), times(math.cos(math.radians(q)), then))

    def _first_and_then(self) -> tuple[Vector, Vector]:
        plane = math.radians(self.plane_deg)
        outward = (math.sin(plane), math.cos(plane), 0.0)
        return (outward, _DOWN) if self.lowers else (_DOWN, outward)

"""Rotation: elbow bent to 90 degrees, the arm raised in a plane and rotated about the upper arm's long axis."""

import math
from typing import ClassVar

from msgspec import Struct
from msgspec.structs import replace

from coach.mechanics.body import Body
from coach.mechanics.motion.motion import GRAVITY_M_S2, Pose
from coach.mechanics.vector import Vector, dot, plus, times
from coach.model.exercise import Coordinate, Position
from coach.model.option_names import Direction


class RaisedArm(Struct, frozen=True):
    """A client's arm raised to a position, and its rotation about the upper arm; q is that rotation in degrees."""

    body: Body
    shoulder_m: Vector
    elbow_m: Vector
    upper_arm: Vector
    """From shoulder to elbow: the axis of rotation."""
    forward: Vector
    """Where the forearm points at rotation 0."""
    toward: Vector
    """Where the forearm points at rotation 90: outward or upward in external rotation, the opposite in internal."""
    toward_elevation: Vector
    """The direction in which the elbow moves as the arm is lifted further in its plane."""
    coordinate: ClassVar[Coordinate] = "angle"
    farthest: ClassVar[float] = math.inf

    def hand_m(self, q: float) -> Vector:
        """The hand at q, in metres."""
        return plus(self.elbow_m, times(self.body.grip_lever_m, self._forearm(q)))

    def hand_by_q(self, q: float) -> Vector:
        """The change of the hand, in metres for each radian."""
        return times(self.body.grip_lever_m, self._across(q))

    def energy_j(self, q: float) -> float:
        """The potential energy of forearm and hand, from the height of the elbow."""
        return self._mass_moment_n_m() * self._forearm(q)[2]

    def weight(self, q: float) -> float:
        """The torque of the weight of forearm and hand about the upper arm, in newton metres.

        External rotation lifts the forearm. Internal rotation lets it down: the weight helps and counts negative.
        """
        return self._mass_moment_n_m() * self._across(q)[2]

    def hand_by_pose(self, q: float) -> Vector:
        """The change of the hand for each radian by which the arm is lifted further.

        Lifting moves the elbow, and tips the direction in which the forearm turns towards the upper arm.
        """
        tips = self.body.grip_lever_m * math.sin(math.radians(q)) * self._tips()
        return plus(times(self.body.upper_arm_m, self.toward_elevation), times(tips, self.upper_arm))

    def energy_by_pose(self, q: float) -> float:
        """The change of the energy in joules for each radian by which the arm is lifted further."""
        return self._mass_moment_n_m() * math.sin(math.radians(q)) * self._tips() * self.upper_arm[2]

    def hand_by_lever(self, q: float) -> Vector:
        """The change of the hand for each metre that the lever from elbow to grip is longer."""
        return self._forearm(q)

    def energy_by_lever(self, q: float) -> float:  # noqa: ARG002 - the masses stay where they are
        """None: the centre of mass of forearm and hand does not depend on the grip."""
        return 0.0

    def held_otherwise(self, by_rad: float) -> "RaisedArm":
        """The arm lifted further by this angle."""
        upper_arm = plus(times(math.cos(by_rad), self.upper_arm), times(math.sin(by_rad), self.toward_elevation))
        lifts = plus(times(math.cos(by_rad), self.toward_elevation), times(-math.sin(by_rad), self.upper_arm))
        return replace(
            self,
            elbow_m=plus(self.shoulder_m, times(self.body.upper_arm_m, upper_arm)),
            upper_arm=upper_arm,
            toward=lifts if self._tips() < 0 else times(-1.0, lifts),
            toward_elevation=lifts,
        )

    def with_body(self, body: Body) -> "RaisedArm":
        """The same motion of a body with another forearm; the upper arm stays where it is."""
        return replace(self, body=body)

    def pose(self, q: float) -> Pose:
        """The pose at q, 0 with the forearm pointing forward."""
        return Pose(
            q=q,
            shoulder_m=self.shoulder_m,
            elbow_m=self.elbow_m,
            hand_m=self.hand_m(q),
            upper_arm=self.upper_arm,
            forearm=self._forearm(q),
            motion=self._across(q),
        )

    def _forearm(self, q: float) -> Vector:
        angle = math.radians(q)
        return plus(times(math.cos(angle), self.forward), times(math.sin(angle), self.toward))

    def _across(self, q: float) -> Vector:
        """The direction in which the hand moves."""
        angle = math.radians(q)
        return plus(times(-math.sin(angle), self.forward), times(math.cos(angle), self.toward))

    def _tips(self) -> float:
        """-1 where the forearm turns outward or upward, 1 where it turns the other way."""
        return -dot(self.toward, self.toward_elevation)

    def _mass_moment_n_m(self) -> float:
        return self.body.forearm_mass_kg * GRAVITY_M_S2 * self.body.mass_lever_m


def raise_arm(body: Body, abduction_deg: float, plane_deg: float, direction: Direction) -> RaisedArm:
    """Raise the arm by `abduction_deg` in a plane of elevation: 0 frontal, 30 scapular, 90 sagittal.

    `direction` says which way the rotation grows from there.
    """
    abduction, plane = math.radians(abduction_deg), math.radians(plane_deg)
    across = (math.sin(plane), math.cos(plane), 0.0)
    upper_arm = plus(times(math.sin(abduction), across), (0.0, 0.0, -math.cos(abduction)))
    outward = plus(times(math.cos(abduction), across), (0.0, 0.0, math.sin(abduction)))
    shoulder = (0.0, body.half_biacromial_m, body.shoulder_height_m)
    return RaisedArm(
        body=body,
        shoulder_m=shoulder,
        elbow_m=plus(shoulder, times(body.upper_arm_m, upper_arm)),
        upper_arm=upper_arm,
        forward=(math.cos(plane), -math.sin(plane), 0.0),
        toward=outward if direction == "external" else times(-1.0, outward),
        toward_elevation=outward,
    )


def raise_arm_to(body: Body, position: Position) -> RaisedArm:
    """Raise the arm to a position of an exercise, as it is held there."""
    return raise_arm(body, elevation_deg(body, position), position.plane_deg, position.direction)


def elevation_deg(body: Body, position: Position) -> float:
    """How far the upper arm is lifted from hanging, in degrees: the abduction, or what the gap at the elbow makes.

    An arm that hangs straight down touches the trunk, so a gap of this width lifts it by the angle whose sine is the
    gap over the length of the upper arm (ours).
    """
    return position.abduction_deg + math.degrees(math.asin(position.elbow_gap_cm / 100 / body.upper_arm_m))


def pose(arm: RaisedArm, rotation_deg: float) -> Pose:
    """The pose at one rotation, in degrees in the direction; 0 with the forearm pointing forward."""
    return arm.pose(rotation_deg)

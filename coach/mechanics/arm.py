"""The pose of the arm: elbow bent to 90 degrees, raised in a plane, rotated about the upper arm's long axis."""

import math
from dataclasses import dataclass

from coach.mechanics.body import Body
from coach.mechanics.vector import Vector, plus, times
from coach.model.exercise import Direction, Position


@dataclass(frozen=True)
class RaisedArm:
    """A client's arm raised to a position, before it rotates: joints in metres and three unit directions."""

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


@dataclass(frozen=True)
class Pose:
    """Joints in metres and unit directions at one rotation."""

    rotation_deg: float
    shoulder_m: Vector
    elbow_m: Vector
    hand_m: Vector
    upper_arm: Vector
    """From shoulder to elbow: the axis of rotation."""
    forearm: Vector
    """From elbow to hand."""
    motion: Vector
    """The direction in which the hand moves as the rotation grows."""


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
    rotation = math.radians(rotation_deg)
    forearm = plus(times(math.cos(rotation), arm.forward), times(math.sin(rotation), arm.toward))
    motion = plus(times(-math.sin(rotation), arm.forward), times(math.cos(rotation), arm.toward))
    return Pose(
        rotation_deg=rotation_deg,
        shoulder_m=arm.shoulder_m,
        elbow_m=arm.elbow_m,
        hand_m=plus(arm.elbow_m, times(arm.body.grip_lever_m, forearm)),
        upper_arm=arm.upper_arm,
        forearm=forearm,
        motion=motion,
    )

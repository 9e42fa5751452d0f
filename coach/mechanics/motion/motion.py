"""What every motion of the arm gives: one coordinate q, the hand and the energy of the masses at each value of it.

The coordinate is an angle in degrees or a path in centimetres. Derivatives are taken by radians or by metres, so the
load along an angle is in newton metres and the load along a path in newtons.
"""

import math
from typing import Protocol

from msgspec import Struct

from coach.mechanics.body import Body
from coach.mechanics.vector import Vector
from coach.model.exercise import Coordinate

GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall: 3rd General Conference on Weights and Measures, 1901."""

PER_UNIT: dict[Coordinate, float] = {"angle": math.radians(1), "path": 0.01}
"""Radians in a degree; metres in a centimetre."""


class Pose(Struct, frozen=True):
    """Joints in metres and unit directions at one value of the coordinate."""

    q: float
    shoulder_m: Vector
    elbow_m: Vector
    hand_m: Vector
    upper_arm: Vector
    """From shoulder to elbow."""
    forearm: Vector
    """From elbow to hand."""
    motion: Vector
    """The direction in which the hand moves as the coordinate grows."""


class Motion(Protocol):
    """One motion of a client's arm along a coordinate q, in degrees or centimetres."""

    def __hash__(self) -> int:
        """Motions are frozen data."""

    @property
    def body(self) -> Body:
        """The client's lengths and masses."""

    @property
    def shoulder_m(self) -> Vector:
        """The middle of the exercising shoulder, in metres."""

    @property
    def coordinate(self) -> Coordinate:
        """An angle or a path."""

    @property
    def farthest(self) -> float:
        """Where the motion ends in any case, in degrees or centimetres."""

    def pose(self, q: float) -> Pose:
        """The pose at q."""

    def hand_m(self, q: float) -> Vector:
        """The hand at q, in metres."""

    def hand_by_q(self, q: float) -> Vector:
        """The change of the hand with q: metres for each radian, or metres for each metre."""

    def energy_j(self, q: float) -> float:
        """The potential energy of the arm at q in joules, from any constant level."""

    def weight(self, q: float) -> float:
        """The change of the energy with q: newton metres for an angle, newtons for a path."""

    def hand_by_pose(self, q: float) -> Vector:
        """The change of the hand in metres for each radian by which the arm is held otherwise than intended."""

    def energy_by_pose(self, q: float) -> float:
        """The change of the energy in joules for each radian by which the arm is held otherwise than intended."""

    def hand_by_lever(self, q: float) -> Vector:
        """The change of the hand for each metre that the lever from elbow to grip is longer."""

    def energy_by_lever(self, q: float) -> float:
        """The change of the energy in joules for each metre that the lever from elbow to grip is longer."""

    def held_otherwise(self, by_rad: float) -> "Motion":
        """The motion with the arm held otherwise by this angle."""

    def with_body(self, body: Body) -> "Motion":
        """The same motion of another body."""

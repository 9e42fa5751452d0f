"""The arm between the start and the end of its arc."""

import math

from coach.mechanics.arm import Pose
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector, minus, plus, size, times

# Fine enough for the way of the hand to look round on paper.
_EVERY_DEG = 3


def pose_at(setup: Setup, rotation_deg: float) -> Pose:
    """The arm of a setup at a rotation: its start turned about the upper arm's long axis."""
    start = setup.start
    turned = math.radians(rotation_deg - start.rotation_deg)
    forearm = plus(times(math.cos(turned), start.forearm), times(math.sin(turned), start.motion))
    return Pose(
        rotation_deg=rotation_deg,
        shoulder_m=start.shoulder_m,
        elbow_m=start.elbow_m,
        hand_m=plus(start.elbow_m, times(lever_m(setup), forearm)),
        upper_arm=start.upper_arm,
        forearm=forearm,
        motion=plus(times(-math.sin(turned), start.forearm), times(math.cos(turned), start.motion)),
    )


def lever_m(setup: Setup) -> float:
    """From the elbow to the grip."""
    return size(minus(setup.start.hand_m, setup.start.elbow_m))


def hand_path_m(setup: Setup) -> tuple[Vector, ...]:
    """Points on the way of the hand, from the start to the end of the arc."""
    first, last = setup.start.rotation_deg, setup.end.rotation_deg
    parts = max(math.ceil((last - first) / _EVERY_DEG), 1)
    return tuple(pose_at(setup, first + (last - first) * part / parts).hand_m for part in range(parts + 1))

"""The path of the hand between the start and the end of the arc."""

import math

from coach.mechanics.arm import pose
from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector

# Fine enough for the path to look round on paper.
_EVERY_DEG = 3


def hand_path_m(setup: Setup) -> tuple[Vector, ...]:
    """Points on the path of the hand in the body frame, from the start to the end of the arc."""
    first, last = setup.start.rotation_deg, setup.end.rotation_deg
    parts = max(math.ceil((last - first) / _EVERY_DEG), 1)
    return tuple(pose(setup.arm, first + (last - first) * part / parts).hand_m for part in range(parts + 1))

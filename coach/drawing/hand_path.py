"""The path of the hand between the start and the end of the arc."""

import math

from coach.mechanics.setup import Setup
from coach.mechanics.vector import Vector

# Degrees, or centimetres: fine enough for the path to look round on paper.
_EVERY = 3


def hand_path_m(setup: Setup) -> tuple[Vector, ...]:
    """Points on the path of the hand in the body frame, from the start to the end of the arc."""
    first, last = setup.start.q, setup.end.q
    parts = max(math.ceil((last - first) / _EVERY), 1)
    return tuple(setup.motion.pose(first + (last - first) * part / parts).hand_m for part in range(parts + 1))

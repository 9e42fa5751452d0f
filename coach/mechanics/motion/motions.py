"""The motion of a position: which of the kinds it is, for one body."""

from functools import lru_cache

from coach.mechanics.arm import raise_arm_to
from coach.mechanics.body import Body
from coach.mechanics.motion.level_path import LevelPath
from coach.mechanics.motion.motion import Motion
from coach.mechanics.motion.straight_arm import StraightArm
from coach.mechanics.vector import Vector
from coach.model.exercise import Position


def motion_of(body: Body, position: Position) -> Motion:
    """The motion of a body in a position of an exercise, as it is held there."""
    if position.direction in ("raise", "lower"):
        return StraightArm(body, position.plane_deg, lowers=position.direction == "lower")
    if position.direction in ("pull", "press"):
        return LevelPath(body, presses=position.direction == "press")
    return raise_arm_to(body, position)


@lru_cache(maxsize=32)
def hand_along(motion: Motion, values: tuple[float, ...]) -> tuple[tuple[Vector, Vector], ...]:
    """The hand and its change with q at each value of q, in metres: the same for every anchor and band."""
    return tuple((motion.hand_m(q), motion.hand_by_q(q)) for q in values)

"""Pulling to the side of the trunk, or pressing forward from it: the hand on a level line, the elbow close.

The arm moves in the vertical plane through the shoulder that faces forward. The hand keeps the height of an elbow
that hangs at the side. Its line ends, or begins, where the elbow is below the shoulder: the line of the trunk. At its
other end the arm is reached out, not quite straight.
"""

import math
from typing import ClassVar

from msgspec import Struct
from msgspec.structs import replace

from coach.mechanics.body import Body
from coach.mechanics.motion.motion import GRAVITY_M_S2, Pose
from coach.mechanics.vector import Vector, plus, times
from coach.model.exercise import Coordinate

# The arm reached out is this part of its whole length (ours): an elbow bent by about 36 degrees. Were it straighter,
# the weight of the arm alone would draw the hand back with more than 15 N.
_REACHED_OUT = 0.95


class LevelPath(Struct, frozen=True):
    """The hand on a level line straight ahead of the shoulder; q is its way in centimetres.

    Pulling, q is counted from the arm reached out; pressing, from the elbow at the line of the trunk.
    """

    body: Body
    presses: bool = False
    higher_m: float = 0.0
    """How far the line is above the elbow of an arm at the side."""
    coordinate: ClassVar[Coordinate] = "path"

    @property
    def shoulder_m(self) -> Vector:
        """The middle of the exercising shoulder, in metres."""
        return (0.0, self.body.half_biacromial_m, self.body.shoulder_height_m)

    @property
    def farthest(self) -> float:
        """The way in centimetres, in whole millimetres, from the arm reached out to the line of the trunk."""
        return math.floor((self._reached_m - self._at_trunk_m) * 1000) / 10

    def hand_m(self, q: float) -> Vector:
        """The hand at q, in metres."""
        return plus(self.shoulder_m, (self._ahead_m(q), 0.0, -self._drop_m))

    def hand_by_q(self, q: float) -> Vector:  # noqa: ARG002 - the same everywhere on the line
        """The direction in which the hand moves: metres for each metre."""
        return (1.0 if self.presses else -1.0, 0.0, 0.0)

    def energy_j(self, q: float) -> float:
        """The potential energy of the arm, from the height of the shoulder.

        Both centres of mass lie on the line through two joints, so their height is that of the elbow and the hand.
        """
        body, elbow, hand = self.body, self._elbow(q)[1], -self._drop_m
        share = body.mass_lever_m / body.grip_lever_m
        upper = body.upper_arm_mass_kg * body.upper_arm_balance * elbow
        return GRAVITY_M_S2 * (upper + body.forearm_mass_kg * (elbow + share * (hand - elbow)))

    def weight(self, q: float) -> float:
        """The force along the line, in newtons, that lifting or lowering the elbow takes."""
        body = self.body
        ahead, up = self._elbow(q)
        upper_arm = (ahead / body.upper_arm_m, up / body.upper_arm_m)
        forearm = ((self._ahead_m(q) - ahead) / body.grip_lever_m, (-self._drop_m - up) / body.grip_lever_m)
        # The lengths are constant: the elbow moves square to the upper arm, and the forearm does not stretch.
        square = (-upper_arm[1], upper_arm[0])
        moved = self.hand_by_q(q)[0] * forearm[0] / (forearm[0] * square[0] + forearm[1] * square[1])
        rise = moved * square[1]
        share = body.mass_lever_m / body.grip_lever_m
        mass_kg = body.upper_arm_mass_kg * body.upper_arm_balance + body.forearm_mass_kg * (1 - share)
        return GRAVITY_M_S2 * rise * mass_kg

    def hand_by_pose(self, q: float) -> Vector:
        """The change of the hand for each radian: the line is higher by the upper arm times this angle."""
        changed = (self.held_otherwise(1e-4).hand_m(q), self.held_otherwise(-1e-4).hand_m(q))
        return times(5e3, (changed[0][0] - changed[1][0], 0.0, changed[0][2] - changed[1][2]))

    def energy_by_pose(self, q: float) -> float:
        """The change of the energy in joules for each radian, by a central difference."""
        return (self.held_otherwise(1e-4).energy_j(q) - self.held_otherwise(-1e-4).energy_j(q)) * 5e3

    def hand_by_lever(self, q: float) -> Vector:
        """The change of the hand for each metre that the lever from elbow to grip is longer."""
        longer, shorter = self._with_longer_lever(1e-4).hand_m(q), self._with_longer_lever(-1e-4).hand_m(q)
        return ((longer[0] - shorter[0]) * 5e3, 0.0, 0.0)

    def energy_by_lever(self, q: float) -> float:
        """The change of the energy in joules for each metre of the lever: the elbow is elsewhere."""
        return (self._with_longer_lever(1e-4).energy_j(q) - self._with_longer_lever(-1e-4).energy_j(q)) * 5e3

    def held_otherwise(self, by_rad: float) -> "LevelPath":
        """The line higher by the length of the upper arm times this angle."""
        return replace(self, higher_m=self.higher_m + self.body.upper_arm_m * by_rad)

    def with_body(self, body: Body) -> "LevelPath":
        """The same motion of another body."""
        return replace(self, body=body)

    def pose(self, q: float) -> Pose:
        """The pose at q."""
        ahead, up = self._elbow(q)
        hand_ahead, lever = self._ahead_m(q), self.body.grip_lever_m
        return Pose(
            q=q,
            shoulder_m=self.shoulder_m,
            elbow_m=plus(self.shoulder_m, (ahead, 0.0, up)),
            hand_m=self.hand_m(q),
            upper_arm=(ahead / self.body.upper_arm_m, 0.0, up / self.body.upper_arm_m),
            forearm=((hand_ahead - ahead) / lever, 0.0, (-self._drop_m - up) / lever),
            motion=self.hand_by_q(q),
        )

    def _with_longer_lever(self, by_m: float) -> "LevelPath":
        return self.with_body(replace(self.body, grip_lever_m=self.body.grip_lever_m + by_m))

    @property
    def _drop_m(self) -> float:
        """How far the line is below the shoulder."""
        return self.body.upper_arm_m - self.higher_m

    @property
    def _reached_m(self) -> float:
        """How far the hand is ahead of the shoulder with the arm reached out."""
        return math.sqrt((_REACHED_OUT * self.body.arm_lever_m) ** 2 - self._drop_m**2)

    @property
    def _at_trunk_m(self) -> float:
        """How far the hand is ahead of the shoulder with the elbow below the shoulder."""
        return math.sqrt(self.body.grip_lever_m**2 - self.higher_m**2)

    def _ahead_m(self, q: float) -> float:
        """How far the hand is ahead of the shoulder at q."""
        return self._at_trunk_m + q / 100 if self.presses else self._reached_m - q / 100

    def _elbow(self, q: float) -> tuple[float, float]:
        """The elbow ahead of and above the shoulder, in metres, from the two lengths and the place of the hand."""
        upper_arm, ahead, drop = self.body.upper_arm_m, self._ahead_m(q), self._drop_m
        apart = math.hypot(ahead, drop)
        cosine = (upper_arm**2 + apart**2 - self.body.grip_lever_m**2) / (2 * upper_arm * apart)
        below = math.atan2(drop, ahead) + math.acos(max(-1.0, min(1.0, cosine)))
        return upper_arm * math.cos(below), -upper_arm * math.sin(below)

"""What a motion that was asked looks like to a sensor on the forearm."""

import math
from collections.abc import Mapping

from coach.mechanics.body import body_of
from coach.mechanics.motion.motions import motion_of
from coach.model.exercise import Position
from coach.model.prescription import Dose
from coach.model.profile import Profile
from coach.motion_capture.results import Asked

_LEVEL = 0.1  # an axis whose vertical part is smaller, 6 degrees, has no turn that is seen from above (ours)


def asked_of(profile: Profile, position: Position, dose: Dose, limits: Mapping[str, float]) -> Asked:
    """The tempo and rest of a dose, and the axis of the motion of this position as this client makes it."""
    tempo = dose.tempo
    up = _axis_up(profile, position)
    return Asked(
        out_s=tempo.out_s,
        hold_s=tempo.hold_s,
        back_s=tempo.back_s,
        relax_s=tempo.relax_s,
        rest_s=dose.rest_s,
        turns_up=None if up is None or abs(up) < _LEVEL else (1 if up > 0 else -1),
        axis_from_vertical_deg=None if up is None else math.degrees(math.acos(min(abs(up), 1.0))),
        limits=limits,
    )


def _axis_up(profile: Profile, position: Position) -> float | None:
    """The vertical part of the axis that the motion turns about; None for a motion along a path.

    The program's frame is that of a left arm, with its second direction outward; on the right a turn is mirrored.
    """
    if position.coordinate == "path":
        return None
    pose = motion_of(body_of(profile), position).pose(position.arc_start_deg)
    forearm, moves = pose.forearm, pose.motion
    up = forearm[0] * moves[1] - forearm[1] * moves[0]
    return up if profile.side == "left" else -up

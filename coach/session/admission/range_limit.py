"""Where the range of a position ends today because the therapist or a condition caps it."""

from datetime import date

from coach.mechanics.torque import available_deg
from coach.model.content import Content
from coach.model.exercise import Position
from coach.model.profile import AvailableRange, Profile
from coach.model.progress import Progress
from coach.session.admission.client_conditions import range_cap_deg


def range_limit(profile: Profile, position: Position, before: Progress, content: Content) -> float | None:
    """The end of the range in degrees or centimetres where it is capped; None where the client has no more anyway."""
    by_condition = range_cap_deg(profile, content) if position.coordinate == "angle" else None
    caps = [cap.available_deg for cap in before.range_caps if cap.position == position.name]
    lowest = min([*caps, *([] if by_condition is None else [by_condition])], default=None)
    return None if lowest is None or lowest >= available_deg(profile, position) else lowest


def within(profile: Profile, position: Position, limit: float | None) -> Profile:
    """The profile with the range in this position limited."""
    if limit is None:
        return profile
    capped = AvailableRange(position=position.name, direction=position.direction, available_deg=limit, on=date.max)
    return profile.model_copy(update={"ranges": (*profile.ranges, capped)})

"""What the client is told where the range of today is capped: it ends sooner than it goes easily, and where."""

import math

from coach.mechanics.body import body_of
from coach.mechanics.motion.motions import motion_of
from coach.model.message_format import fill
from coach.session.plan import Plan

# What is lost of a whole number in a subtraction of decimals.
_ROUNDING = 1e-6


def limit_lines(plan: Plan) -> tuple[str, ...]:
    """Where the limit is, and that the client's line is there too; nothing where the range is not capped."""
    if plan.range_limit is None:
        return ()
    messages, position = plan.content.messages.client.setup.limit, plan.position
    motion = motion_of(body_of(plan.profile), position)
    way_m = math.dist(motion.hand_m(position.arc_start_deg), motion.hand_m(plan.range_limit))
    # Rounded down, so that what is told never goes past the limit.
    values = {
        "degrees": math.floor(plan.range_limit - position.arc_start_deg + _ROUNDING),
        "way_cm": math.floor(way_m * 100 + _ROUNDING),
    }
    where = messages.path if position.coordinate == "path" else messages.angle
    return fill(where, values), messages.line

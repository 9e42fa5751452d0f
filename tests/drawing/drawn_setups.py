"""Setups to draw, made by the mechanics for an invented client."""

from coach.mechanics.setup import Setup, setup_for
from coach.model.load_step import LoadStep
from coach.model.option_names import Direction
from coach.model.prescription import FixedSetup
from coach.model.profile import Lengths
from tests.mechanics.clients import AT_0, AT_45, AT_90, INTERNAL_AT_0, LIMITS, prescription, profile

SHOULDER_M, HALF_BREADTH_M, UPPER_ARM_M, LEVER_M, FOOT_M = 1.38, 0.19, 0.32, 0.33, 0.25
POSITIONS = ("0", "45", "90")

_POSITIONS = {position.name: position for position in (AT_0, AT_45, AT_90)}
_LENGTHS = Lengths(
    shoulder_height_m=SHOULDER_M,
    half_biacromial_m=HALF_BREADTH_M,
    upper_arm_m=UPPER_ARM_M,
    grip_lever_m=LEVER_M,
    foot_m=FOOT_M,
)


def setup_at(
    name: str,
    distance_cm: int = 120,
    height_cm: int = 105,
    turn_deg: float | None = None,
    start_deg: float | None = None,
    end_deg: float | None = None,
    direction: Direction = "external",
) -> Setup:
    """A setup by position, anchor and arc; what is not given is the position's own. Internal rotation has 0 alone."""
    given = {"arc_start_deg": start_deg, "available_deg": end_deg, "body_turn_deg": turn_deg}
    position = (INTERNAL_AT_0 if direction == "internal" else _POSITIONS[name]).model_copy(
        update={name: value for name, value in given.items() if value is not None}
    )
    plan = prescription(FixedSetup(position=name, anchor_height_cm=height_cm))
    step = LoadStep(grade="light", strands=1, distance_cm=distance_cm, mean_nm=2.0, peak_nm=3.0)
    return setup_for(profile(lengths=_LENGTHS), plan, position, step, LIMITS)

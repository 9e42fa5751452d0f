"""Facts of the trade that must come out as numbers. Each is common practice, no source."""

import itertools

import pytest

from coach.mechanics.anchor import Anchor, anchor_m
from coach.mechanics.arm import raise_arm
from coach.mechanics.band import elongation, rubber_of, tension_n
from coach.mechanics.body import body_of
from coach.mechanics.ladder import build_ladder, rungs
from coach.mechanics.torque import Arc, arc_at, line_of_pull
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.prescription import FixedSetup
from tests.mechanics.clients import AT_90, LIMITS, grade, prescription, profile

BODY = body_of(profile())
RUBBER = rubber_of(grade("medium", 1.0, 1.0))
ARM_45 = raise_arm(BODY, 45.0, 0.0, "external")


def _at_45(turn_deg: float, distance_m: float, height_m: float, taut_at_start: float) -> float:
    """Band torque at 80 degrees of rotation, the resting length chosen for one elongation at the start."""
    anchor = anchor_m(BODY, distance_m, height_m, turn_deg, "other")
    pull = line_of_pull(ARM_45, anchor, (-20.0, 80.0))
    rest_m = pull.length_m[0] / (1 + taut_at_start)
    assert elongation(rest_m, pull.length_m[0]) == pytest.approx(taut_at_start)
    return tension_n(RUBBER, rest_m, pull.length_m[1]) * pull.per_newton[1]


@pytest.mark.parametrize("distance_m", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("height_m", [0.53 * 1.70, ARM_45.elbow_m[2], 1.4])
@pytest.mark.parametrize("taut_at_start", [0.05, 0.25, 0.5])
def test_at_45_a_client_who_stays_side_on_loses_the_load_at_the_end(
    distance_m: float, height_m: float, taut_at_start: float
) -> None:
    """Common practice, no source: without the turn in, the band loses its load near the end. Arm raised in the
    frontal plane."""
    side_on = _at_45(90.0, distance_m, height_m, taut_at_start)
    diagonal = _at_45(45.0, distance_m, height_m, taut_at_start)
    assert 0 < side_on < diagonal / 3


@pytest.mark.parametrize("plane_deg", [0.0, 30.0])
@pytest.mark.parametrize("turn_deg", [-20.0, 0.0, 20.0])
@pytest.mark.parametrize("distance_m", [1.2, 2.0])
def test_at_90_a_level_band_does_not_load_the_start_and_a_lower_anchor_loads_the_whole_arc(
    plane_deg: float, turn_deg: float, distance_m: float
) -> None:
    """Common practice, no source: at 90 degrees the band runs downward to the anchor."""
    level_m = BODY.shoulder_height_m
    rotations = tuple(float(rotation) for rotation in range(91))
    arm = raise_arm(BODY, 90.0, plane_deg, "external")
    ahead = anchor_m(BODY, distance_m, level_m, turn_deg, "other")
    level = line_of_pull(arm, ahead, rotations)
    assert level.per_newton[0] == pytest.approx(0.0, abs=1e-15)
    for lower_m in (0.1, 0.5, level_m):
        anchor = anchor_m(BODY, distance_m, level_m - lower_m, turn_deg, "other")
        lowered = line_of_pull(arm, anchor, rotations)
        assert min(lowered.per_newton) > 0


# At eye level the torque at 90 degrees rises to the end of the arc, so an even strength fails there and not before.
# Eye level is where one trial had it: Dupuis F et al., BMJ Open Sport Exerc Med 2018;4:e000477, suppl. 2 (read).
CLIENT = profile(heights_cm=(159,))
EYE_LEVEL = prescription(FixedSetup(position="90", anchor_height_cm=159))
TOO_HEAVY = ChosenStep(grade="heavy", strands=1, distance_cm=170)


def _arc(step: ChosenStep | LoadStep) -> Arc:
    return arc_at(CLIENT, AT_90, step, step.distance_cm, Anchor(159, 0.0))


def _strength_that_loses_the_last(lost_deg: int) -> float:
    arc = _arc(TOO_HEAVY)
    return arc.torque_nm[-1 - lost_deg]


def _loaded_deg(arc: Arc, strength_nm: float) -> float:
    """How far an even strength gets, going out from the start, before the torque passes it."""
    through = itertools.takewhile(lambda at: at[1] <= strength_nm, zip(arc.q, arc.torque_nm, strict=True))
    return max((rotation for rotation, _ in through), default=arc.q[0])


@pytest.mark.parametrize("lost_deg", [15, 18, 20])
def test_one_grade_lighter_gives_back_the_end_of_the_range(lost_deg: int) -> None:
    """Common practice, no source: where the last 15-20 degrees are lost against the band, one grade lighter until the
    full range is clean."""
    strength_nm = _strength_that_loses_the_last(lost_deg)
    assert _loaded_deg(_arc(TOO_HEAVY), strength_nm) == 90 - lost_deg
    ladder = build_ladder(CLIENT, EYE_LEVEL, AT_90, LIMITS)
    heavy = next(step for step in ladder.steps if step.grade == "heavy" and step.distance_cm == 170)
    lighter = rungs(ladder, heavy).lighter
    assert lighter is not None
    assert (lighter.grade, lighter.distance_cm) == ("medium", 170)
    assert _loaded_deg(_arc(lighter), strength_nm) == 90


def test_where_90_is_too_hard_a_shorter_distance_or_a_lighter_grade_helps() -> None:
    """Common practice, no source."""
    strength_nm = _strength_that_loses_the_last(15)
    nearer = TOO_HEAVY.model_copy(update={"distance_cm": 150})
    lighter = TOO_HEAVY.model_copy(update={"grade": "medium"})
    for step in (nearer, lighter):
        assert _arc(step).mean_nm < _arc(TOO_HEAVY).mean_nm
        assert _loaded_deg(_arc(step), strength_nm) > _loaded_deg(_arc(TOO_HEAVY), strength_nm)
    ladder = build_ladder(CLIENT, EYE_LEVEL, AT_90, LIMITS)
    heavy = next(step for step in ladder.steps if step.grade == "heavy" and step.distance_cm == 170)
    easier = rungs(ladder, heavy).easier
    assert easier is not None
    assert easier.mean_nm < heavy.mean_nm

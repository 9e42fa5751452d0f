"""The setup: where things stand, and what it does to be wrong."""

import math

import pytest

from coach.mechanics.anchor import ImpossibleAnchor, anchor_m
from coach.mechanics.anchor_placement import arc_of_step
from coach.mechanics.body import body_of, landmark_height_m, nearest_landmark
from coach.mechanics.ladder import build_ladder
from coach.mechanics.setup import Setup, setup_for
from coach.mechanics.torque import Arc, torque_time_nms, values_between
from coach.mechanics.vector import MARK_M, minus, size
from coach.model.exercise import Landmark, Position
from coach.model.load_step import LoadStep
from coach.model.prescription import FixedSetup, Prescription
from coach.model.profile import AvailableRange, Lengths, Profile
from tests.mechanics.clients import (
    AT_0,
    AT_45,
    AT_90,
    DAY,
    INTERNAL_AT_0,
    LIMITS,
    prescription,
    profile,
    three_grades,
)

PLAN = prescription()
POSITIONS = (AT_0, AT_45, AT_90, INTERNAL_AT_0)
NAMES = ("0", "45", "90", "internal at 0")


def _middle(client: Profile, plan: Prescription, place: Position) -> LoadStep:
    steps = build_ladder(client, plan, place, LIMITS).steps
    return steps[len(steps) // 2]


def _setup(place: Position, client: Profile | None = None, plan: Prescription = PLAN) -> Setup:
    client = client or profile()
    return setup_for(client, plan, place, _middle(client, plan, place), LIMITS)


@pytest.mark.parametrize("place", POSITIONS, ids=NAMES)
def test_the_drawing_is_the_computed_geometry(place: Position) -> None:
    """The band drawn is as long as the band computed, and the arm is as long as the client's."""
    setup = _setup(place)
    body = body_of(profile())
    for pose, number in ((setup.start, 0), (setup.end, -1)):
        assert size(minus(setup.anchor_m, pose.hand_m)) == pytest.approx(setup.arc.length_m[number])
        assert size(minus(pose.elbow_m, pose.shoulder_m)) == pytest.approx(body.upper_arm_m)
        assert size(minus(pose.hand_m, pose.elbow_m)) == pytest.approx(body.grip_lever_m)
    flat = minus(setup.anchor_m, MARK_M)
    assert math.hypot(flat[0], flat[1]) == pytest.approx(setup.distance_cm / 100)
    assert setup.anchor_m[2] == pytest.approx(setup.anchor_height_cm / 100)


def test_side_on_has_the_other_shoulder_towards_the_anchor_and_0_faces_it() -> None:
    body = body_of(profile())
    assert anchor_m(body, 2.0, 1.0, 90.0, "other") == pytest.approx((0.0, -2.0, 1.0))
    assert anchor_m(body, 2.0, 1.0, 0.0, "other") == pytest.approx((2.0, 0.0, 1.0))


def test_the_anchor_is_the_one_at_home_nearest_to_the_landmark_unless_fixed() -> None:
    assert _setup(AT_0).anchor_height_cm == 105  # elbow at 107 cm
    assert _setup(AT_90).anchor_height_cm == 90  # hip at 90 cm
    fixed = prescription(FixedSetup(position="0", anchor_height_cm=127, body_turn_deg=70.0))
    assert _setup(AT_0, plan=fixed).anchor_height_cm == 127
    assert _setup(AT_0, plan=fixed).body_turn_deg == 70.0
    assert _setup(AT_90, plan=fixed).anchor_height_cm == 90


@pytest.mark.parametrize(
    ("height_m", "landmark"),
    [(0.0, "floor"), (0.5, "knee"), (0.9, "hip"), (1.07, "elbow"), (1.4, "shoulder"), (1.6, "eye"), (2.2, "eye")],
)
def test_a_height_is_named_by_the_body(height_m: float, landmark: Landmark) -> None:
    """Knee 0.285, hip 0.530 and eye 0.936 of stature: from memory of the figure after Drillis & Contini 1966."""
    assert nearest_landmark(body_of(profile()), profile(), height_m) == landmark


def test_landmarks_rise_from_floor_to_eye() -> None:
    names: tuple[Landmark, ...] = ("floor", "knee", "hip", "elbow", "shoulder", "eye")
    heights = [landmark_height_m(body_of(profile()), profile(), name) for name in names]
    assert heights == sorted(heights)
    assert heights[0] == 0


def test_measured_lengths_come_before_fractions_of_stature() -> None:
    measured = Lengths(
        shoulder_height_m=1.45, half_biacromial_m=0.21, upper_arm_m=0.31, grip_lever_m=0.36, foot_m=0.25
    )
    body = body_of(profile(lengths=measured))
    assert (body.shoulder_height_m, body.half_biacromial_m, body.upper_arm_m) == (1.45, 0.21, 0.31)
    assert (body.grip_lever_m, body.foot_m) == (0.36, 0.25)
    assert body.elbow_height_m == pytest.approx(1.14)
    setup = _setup(AT_45, profile(lengths=measured))
    assert setup.distance_feet * 25 == pytest.approx(setup.distance_cm)


def test_the_middling_body_lies_between_women_and_men() -> None:
    both = body_of(profile())
    women, men = body_of(profile(fractions="women")), body_of(profile(fractions="men"))
    assert women.grip_lever_m < both.grip_lever_m < men.grip_lever_m
    assert both.half_biacromial_m == pytest.approx((women.half_biacromial_m + men.half_biacromial_m) / 2)


@pytest.mark.parametrize("place", POSITIONS, ids=NAMES)
def test_standing_farther_away_loads_more_and_nearer_less(place: Position) -> None:
    change = {(s.what, s.change): s.mean_change for s in _setup(place).sensitivities}
    farther, nearer = change["distance_cm", 10], change["distance_cm", -10]
    assert farther is not None
    assert nearer is not None
    assert nearer < 0 < farther


def test_a_sensitivity_is_the_mean_torque_of_the_wrong_setup() -> None:
    """A setup that is wrong on purpose has the mean torque that the sensitivity foretold."""
    setup = _setup(AT_90)
    there = {(s.what, s.change): s.mean_change for s in setup.sensitivities}
    wrong = FixedSetup(position="90", anchor_height_cm=setup.anchor_height_cm - 10, body_turn_deg=0.0)
    low = arc_of_step(profile(), prescription(wrong), AT_90, setup.step, LIMITS)
    assert there["height_cm", -10] == pytest.approx(low.mean_nm / setup.arc.mean_nm - 1)
    wrong = FixedSetup(position="90", anchor_height_cm=setup.anchor_height_cm, body_turn_deg=10.0)
    turned = arc_of_step(profile(), prescription(wrong), AT_90, setup.step, LIMITS)
    assert there["turn_deg", 10] == pytest.approx(turned.mean_nm / setup.arc.mean_nm - 1)
    assert there["turn_deg", 10] != pytest.approx(0.0, abs=1e-4)


def test_at_90_a_higher_anchor_unloads_and_a_lower_one_loads() -> None:
    change = {(s.what, s.change): s.mean_change for s in _setup(AT_90).sensitivities}
    higher, lower = change["height_cm", 10], change["height_cm", -10]
    assert higher is not None
    assert lower is not None
    assert higher < 0 < lower


def _trouble(client: Profile, place: Position, distance_cm: int) -> dict[tuple[str, int], str | None]:
    step = next(
        step
        for step in build_ladder(client, PLAN, place, LIMITS).steps
        if (step.grade, step.distance_cm) == ("light", distance_cm)
    )
    return {(s.what, s.change): s.problem for s in setup_for(client, PLAN, place, step, LIMITS).sensitivities}


def test_trouble_beside_the_setup_is_named() -> None:
    """The outermost marks of the ladder: 10 cm nearer is slack, 10 cm farther is beyond the ceiling."""
    client = profile(rest_m=0.8)
    marks = [step.distance_cm for step in build_ladder(client, PLAN, AT_0, LIMITS).steps if step.grade == "light"]
    assert _trouble(client, AT_0, min(marks))["distance_cm", -10] == "slack"
    assert _trouble(client, AT_0, min(marks))["distance_cm", 10] is None
    assert _trouble(client, AT_0, max(marks))["distance_cm", 10] == "over"
    assert _trouble(client, AT_0, max(marks))["distance_cm", -10] is None


def test_nobody_anchors_a_band_below_the_floor() -> None:
    client = profile(heights_cm=(0,))
    step = _middle(client, PLAN, AT_90)
    below, above = setup_for(client, PLAN, AT_90, step, LIMITS).sensitivities[2:4]
    assert (below.what, below.change, below.mean_change, below.problem) == ("height_cm", -10, None, "impossible")
    assert above.mean_change is not None


def test_an_arc_beyond_the_measured_points_is_extrapolated() -> None:
    step = LoadStep(grade="light", strands=1, distance_cm=150, mean_nm=1.0, peak_nm=1.0)
    whole = three_grades(1.0)[0]
    short = whole.model_copy(update={"points": whole.points[:3]})  # measured to 75 %, needed from 56 to 102 %
    assert not arc_of_step(profile(bands=(whole,)), PLAN, AT_0, step, LIMITS).extrapolated
    assert arc_of_step(profile(bands=(short,)), PLAN, AT_0, step, LIMITS).extrapolated


@pytest.mark.parametrize(("distance_m", "height_m"), [(0.1, 1.0), (0.0, 0.0)])
def test_an_anchor_inside_the_body_is_refused(distance_m: float, height_m: float) -> None:
    with pytest.raises(ImpossibleAnchor, match=r"inside the body.*stand farther away"):
        anchor_m(body_of(profile()), distance_m, height_m, 90.0, "other")


def test_an_anchor_below_the_floor_is_refused() -> None:
    with pytest.raises(ImpossibleAnchor, match="below the floor"):
        anchor_m(body_of(profile()), 1.0, -0.1, 90.0, "other")


def test_a_band_that_is_not_on_the_shelf_is_refused_with_those_that_are() -> None:
    lost = LoadStep(grade="lost", strands=1, distance_cm=150, mean_nm=1.0, peak_nm=1.0)
    with pytest.raises(ValueError, match=r"no band is called lost .* light, medium, heavy"):
        setup_for(profile(), PLAN, AT_0, lost, LIMITS)


def test_the_arc_ends_at_the_newest_measured_range() -> None:
    client = profile(ranges=(AvailableRange(position="0", available_deg=62.5, on=DAY),))
    arc = arc_of_step(client, PLAN, AT_0, _middle(client, PLAN, AT_0), LIMITS)
    assert arc.q[0] == -30.0
    assert arc.q[-2:] == (62.0, 62.5)
    assert len(arc.q) == len(arc.band_nm) == len(arc.arm_nm) == len(arc.length_m) == 94


def test_rotations_are_whole_degrees_and_the_end() -> None:
    assert values_between(0.0, 3.0) == (0.0, 1.0, 2.0, 3.0)
    assert values_between(-1.5, 0.0) == (-1.5, -0.5, 0.0)
    with pytest.raises(ValueError, match="ends at"):
        values_between(5.0, 5.0)


def _arc(place: Position) -> Arc:
    return _setup(place).arc


def test_peak_mean_start_and_end_of_the_arc() -> None:
    arc = _arc(AT_45)
    assert arc.peak_nm == max(band + arm for band, arm in zip(arc.band_nm, arc.arm_nm, strict=True))
    assert arc.torque_nm[arc.q.index(arc.peak_at)] == arc.peak_nm
    assert (arc.start_nm, arc.end_nm) == (arc.torque_nm[0], arc.torque_nm[-1])
    assert arc.mean_nm == pytest.approx(sum(arc.torque_nm) / len(arc.torque_nm), rel=0.01)


def test_the_arms_own_weight_is_nothing_at_the_side_and_most_at_90_with_the_forearm_level() -> None:
    """Forearm and hand of 70 kg and 1.70 m: 0.022 x 70 x 9.81 x 0.682 x 0.146 x 1.70 = 2.56 Nm."""
    assert set(_arc(AT_0).arm_nm) == {0.0}
    at_90 = _arc(AT_90)
    assert at_90.arm_nm[0] == max(at_90.arm_nm) == pytest.approx(2.56, abs=0.01)
    assert at_90.arm_nm[-1] == pytest.approx(0.0, abs=1e-12)


def test_torque_time_of_a_set() -> None:
    """Three out, three back at the mean, two held at the end, ten times; the pause between does not count."""
    arc = _arc(AT_0)
    found = torque_time_nms(arc, PLAN.dose.tempo, 10)
    assert found == pytest.approx(10 * (6 * arc.mean_nm + 2 * arc.end_nm))


def test_left_and_right_are_one_geometry() -> None:
    left, right = profile(side="left"), profile(side="right")
    assert build_ladder(left, PLAN, AT_45, LIMITS).steps == build_ladder(right, PLAN, AT_45, LIMITS).steps

"""The direction of rotation and the side of the anchor: what must come out as numbers."""

import pytest

from coach.mechanics.anchor import Anchor
from coach.mechanics.arm import raise_arm
from coach.mechanics.body import body_of
from coach.mechanics.ladder import NoLoadStep, build_ladder
from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.mechanics.torque import arc_at, line_of_pull
from coach.model.load_step import LoadStep
from tests.mechanics.clients import AT_0, INTERNAL_AT_0, LIMITS, grade, position, prescription, profile

CLIENT = profile(heights_cm=(107,))
BODY = body_of(CLIENT)
STEP = LoadStep(grade="medium", strands=1, distance_cm=120, mean_nm=3.0, peak_nm=4.0)


def test_internal_rotation_at_the_side_is_external_rotation_in_a_mirror() -> None:
    """Geometry: seen in a mirror through the elbow, front to back, the anchor on one side of the elbow loads internal
    rotation as the anchor as far to its other side loads external rotation."""
    inward, outward = raise_arm(BODY, 0.0, 0.0, "internal"), raise_arm(BODY, 0.0, 0.0, "external")
    elbow = inward.elbow_m
    rotations = tuple(float(rotation) for rotation in range(-40, 91))
    for ahead_m, aside_m, height_m in ((0.0, 1.0, elbow[2]), (0.3, 0.8, 0.9), (-0.2, 1.7, 1.4)):
        outer, inner = ((ahead_m, elbow[1] + aside_m, height_m), (ahead_m, elbow[1] - aside_m, height_m))
        outside = line_of_pull(inward, outer, rotations)
        inside = line_of_pull(outward, inner, rotations)
        assert outside.length_m == pytest.approx(inside.length_m)
        assert outside.per_newton == pytest.approx(inside.per_newton)


def test_the_anchor_on_the_wrong_side_helps_the_arm_along_instead_of_loading_it() -> None:
    """Common practice, no source: for external rotation the other shoulder is towards the anchor, for internal
    rotation the exercising one."""
    for place in (AT_0, INTERNAL_AT_0):
        arc = arc_at(CLIENT, place, STEP, 120, Anchor(107, 90.0))
        assert min(arc.per_newton) > 0
        wrong = place.model_copy(update={"anchor_side": "other" if place is INTERNAL_AT_0 else "exercising"})
        assert max(arc_at(CLIENT, wrong, STEP, 120, Anchor(107, 90.0)).per_newton) < 0
        with pytest.raises(NoLoadStep, match="pulls the arm along"):
            build_ladder(CLIENT, prescription(), wrong.model_copy(update={"arc_start_deg": 0.0}), LIMITS)


def test_a_band_lighter_than_the_arm_it_lets_down_is_no_load() -> None:
    """At 90 degrees internal rotation lets the forearm down: gravity helps, and a weak band is less than it."""
    place = position(90, 30.0, -60.0, 0.0, "shoulder", 90.0, "internal", "exercising")
    weak = profile(bands=(grade("light", 0.1, 0.9), grade("heavy", 1.0, 0.9)), heights_cm=(220,))
    steps = build_ladder(weak, prescription(), place, LIMITS).steps
    assert {step.grade for step in steps} == {"heavy"}
    assert min(step.mean_nm for step in steps) > 0
    arc = arc_at(weak, place, steps[0], steps[0].distance_cm, Anchor(220, 90.0))
    assert arc.arm_nm[-1] == pytest.approx(-BODY.forearm_mass_kg * GRAVITY_M_S2 * BODY.mass_lever_m)

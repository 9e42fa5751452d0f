"""The spread of a raise and a row: each contribution against the load computed again with that input moved."""

import pytest
from msgspec.structs import replace

from coach.mechanics.anchor import Anchor
from coach.mechanics.anchor_placement import place_anchor
from coach.mechanics.band import rubber_of
from coach.mechanics.body import body_of
from coach.mechanics.ladder import build_ladder
from coach.mechanics.load_uncertainty import SHARED, LoadUncertainty
from coach.mechanics.motion.motions import motion_of
from coach.mechanics.torque import arc_at, arm_weight, available_deg, line_of_pull, load_of, values_between
from coach.model.exercise import Position
from coach.model.load_step import LoadStep
from coach.model.option_names import Direction
from coach.model.profile import AvailableRange, Profile
from tests.mechanics.clients import DAY, LIMITS, grade, prescription, profile

PLAN = prescription()
ROW = Position(
    abduction_deg=0,
    direction="pull",
    plane_deg=90,
    arc_start_deg=0,
    available_deg=25,
    available_source="test",
    anchor_side="other",
    anchor_landmark="elbow",
    body_turn_deg=0,
    setup_source="test",
    checks=(),
    questions=(),
)
RAISE = ROW.model_copy(
    update={
        "direction": "raise",
        "plane_deg": 30,
        "arc_start_deg": 15,
        "available_deg": 90,
        "anchor": "foot",
        "anchor_side": "exercising",
        "anchor_landmark": "floor",
    }
)
LOW = RAISE.model_copy(update={"anchor": "fixed", "anchor_side": "other", "body_turn_deg": 90})


def _client() -> Profile:
    return profile(bands=(grade("long", 0.8, 0.9), grade("short", 1.0, 0.5)), strands=(1, 2))


def _mean(
    client: Profile, place: Position, step: LoadStep, anchor: Anchor, distance_cm: float, moved: str = ""
) -> float:
    """The mean load computed from the parts, with one of the inputs of the body moved by its uncertainty."""
    body = body_of(client)
    motion = motion_of(body, place)
    if moved == "elevation":
        motion = motion.held_otherwise(LoadUncertainty(client, place, anchor, LIMITS).u_pose_rad)
    elif moved == "lever":
        motion = motion.with_body(replace(body, grip_lever_m=body.grip_lever_m + LIMITS["u_lever_from_stature_m"]))
    elif moved == "arm_mass":
        heavier = {"forearm_mass_kg": body.forearm_mass_kg * 1.1, "upper_arm_mass_kg": body.upper_arm_mass_kg * 1.1}
        motion = motion.with_body(replace(body, **heavier))
    values = values_between(place.arc_start_deg, available_deg(client, place))
    band = next(one for one in client.bands if one.name == step.grade)
    pull = line_of_pull(motion, anchor.point_m(body, distance_cm, place.anchor_side), values)
    free_m = anchor.free_length_m(band.resting_length_m, distance_cm)
    return load_of(pull, arm_weight(motion, values), rubber_of(band), free_m, step.strands).mean_nm


@pytest.mark.parametrize("place", [RAISE, LOW, ROW], ids=["foot", "low_anchor", "row"])
def test_each_shared_contribution_is_the_change_of_the_mean(place: Position) -> None:
    client = _client()
    anchor = place_anchor(client, PLAN, place, LIMITS).anchor
    steps = build_ladder(client, PLAN, place, LIMITS).steps
    assert len(steps) > 3
    for step in (steps[0], steps[-1]):
        found = LoadUncertainty(client, place, anchor, LIMITS).contributions(step)
        mean = _mean(client, place, step, anchor, step.distance_cm)
        assert mean == pytest.approx(step.mean_nm, abs=1e-4)
        assert mean == pytest.approx(arc_at(client, place, step, step.distance_cm, anchor).mean_nm)
        for name, mine in zip(SHARED, found.shared, strict=True):
            moved, distance_cm = anchor, float(step.distance_cm)
            if name == "mark":
                distance_cm += 100 * LIMITS["u_mark_m"]
            elif anchor.kind == "fixed" and name == "anchor_height":
                moved = replace(anchor, height_cm=anchor.height_cm + 2)
            elif anchor.kind == "fixed" and name == "body_turn":
                moved = replace(anchor, body_turn_deg=anchor.body_turn_deg + 5)
            change = _mean(client, place, step, moved, distance_cm, name) - mean
            assert mine == pytest.approx(change, rel=0.25, abs=0.02 * mean), name


def test_more_of_the_band_underfoot_is_a_shorter_band() -> None:
    """The free length is the resting length less what is underfoot; the foot is where it is from every mark."""
    client = _client()
    anchor = place_anchor(client, PLAN, RAISE, LIMITS).anchor
    body = body_of(client)
    assert anchor.free_length_m(0.9, 20) == pytest.approx(0.7)
    assert anchor.point_m(body, 20, "exercising") == anchor.point_m(body, 40, "exercising")
    assert anchor.point_m(body, 20, "exercising") == (0.0, body.half_biacromial_m / 2, 0.0)
    ladder = build_ladder(client, PLAN, RAISE, LIMITS)
    long = [step for step in ladder.steps if step.grade == "long"]
    assert [step.distance_cm for step in long] == sorted(step.distance_cm for step in long)
    assert {step.strands for step in ladder.steps} == {1}
    assert all(step.underfoot for step in ladder.steps)
    for step in long:
        arc = arc_at(client, RAISE, step, step.distance_cm, anchor)
        assert arc.elongation[0] == pytest.approx(arc.length_m[0] / (0.9 - step.distance_cm / 100) - 1)
        assert min(arc.elongation) >= LIMITS["taut_at_start"]
        assert max(arc.elongation) <= LIMITS["elongation_max"]


def test_a_path_ends_at_the_trunk_and_a_raise_at_shoulder_height_whatever_was_measured() -> None:
    far = profile(ranges=(_measured("pull", 60), _measured("raise", 118)))
    assert available_deg(far, ROW) == motion_of(body_of(far), ROW).farthest < 25
    assert available_deg(far, RAISE) == 90
    short = profile(ranges=(_measured("pull", 12), _measured("raise", 70)))
    assert (available_deg(short, ROW), available_deg(short, RAISE)) == (12, 70)


def _measured(direction: Direction, available: float) -> AvailableRange:
    return AvailableRange(position="0", direction=direction, available_deg=available, on=DAY)

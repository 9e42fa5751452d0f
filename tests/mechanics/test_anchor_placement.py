"""Where the anchor goes, why, and what another place costs: computed again from the arcs."""

import pytest

from coach.mechanics.anchor import Anchor
from coach.mechanics.anchor_placement import place_anchor
from coach.mechanics.body import body_of, landmark_height_m
from coach.mechanics.ladder import NoLoadStep, build_ladder, rungs
from coach.mechanics.setup_alternatives import AlternativeSetup, find_alternatives
from coach.mechanics.torque import Arc, arc_at
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.prescription import FixedSetup, Prescription
from coach.model.profile import Profile
from tests.mechanics.clients import AT_0, AT_45, AT_90, INTERNAL_AT_0, LIMITS, grade, prescription, profile

FREE = prescription()
POSITIONS = (AT_0, AT_45, AT_90, INTERNAL_AT_0)
NAMES = ("0", "45", "90", "internal at 0")
# A client of 1.70 m: elbow 106.9 cm (0.820 - 0.191 of stature, Gordon CC et al., NATICK/TR-15/007, 2014, read), hip
# 90 cm (0.530 of stature, from memory of the figure after Drillis & Contini 1966 in Winter).


def _client(*heights_cm: int) -> Profile:
    return profile(rest_m=0.75, heights_cm=heights_cm, farthest_cm=180)


def _weak_client(*heights_cm: int) -> Profile:
    """With light bands, whose load is kept or lost with the arm's own weight."""
    bands = (grade("light", 0.3, 0.7), grade("medium", 0.4, 0.7), grade("heavy", 0.5, 0.7))
    return profile(bands=bands, heights_cm=heights_cm, farthest_cm=200)


def _step(client: Profile, place: Position, plan: Prescription = FREE) -> LoadStep:
    steps = build_ladder(client, plan, place, LIMITS).steps
    return steps[len(steps) // 2]


def _lowest_over_peak(arc: Arc) -> float:
    return min(arc.torque_nm) / max(arc.torque_nm)


@pytest.mark.parametrize(
    ("place", "heights_cm", "chosen_cm", "why"),
    [
        (AT_0, (20, 100, 140), 100, "nearest"),
        (AT_0, (20, 140), 140, "nearest"),
        (AT_45, (20, 95, 160), 95, "nearest"),
        (AT_45, (58, 125), 58, "nearest"),
        (AT_90, (20, 85, 100), 85, "nearest"),
        (AT_90, (40, 120), 40, "downward"),
        (AT_90, (106, 108), 106, "nearest"),
        (AT_90, (107, 108), 107, "not_downward"),
        (AT_90, (120, 150), 120, "not_downward"),
    ],
)
def test_the_height_is_one_of_those_at_home(
    place: Position, heights_cm: tuple[int, ...], chosen_cm: int, why: str
) -> None:
    """Common practice, no source: level at 0 degrees, downward at 90; hip at 45 (Dupuis F et al., BMJ Open Sport
    Exerc Med 2018;4:e000477, suppl. 2, read, which has it at 0 and 45 degrees)."""
    found = place_anchor(_client(*heights_cm), FREE, place, LIMITS)
    assert (found.anchor_height_cm, found.why) == (chosen_cm, why)
    assert found.landmark_cm == round(landmark_height_m(body_of(_client(1)), _client(1), place.anchor_landmark) * 100)


@pytest.mark.parametrize("heights_cm", [(40, 120), (20, 140), (90, 105, 150), (0, 108)])
def test_at_90_the_chosen_anchor_loads_the_start_of_the_arc(heights_cm: tuple[int, ...]) -> None:
    """Common practice, no source: a level band leaves the cuff unloaded at the start, one that runs downward does
    not. The moment arm at the start is more than a tenth of the largest."""
    client = _client(*heights_cm)
    found = place_anchor(client, FREE, AT_90, LIMITS)
    step = _step(client, AT_90)
    arc = arc_at(client, AT_90, step, step.distance_cm, found.anchor)
    assert arc.per_newton[0] > 0.1 * max(arc.per_newton)
    level_cm = body_of(client).shoulder_height_m * 100
    level = arc_at(client, AT_90, step, step.distance_cm, Anchor(level_cm, 0.0))
    assert level.per_newton[0] == pytest.approx(0.0, abs=1e-12)


def test_an_anchor_farther_from_the_landmark_is_taken_only_where_it_keeps_the_load_better() -> None:
    near, far = 55, 127
    both = place_anchor(_weak_client(near, far), FREE, AT_45, LIMITS)
    assert (both.anchor_height_cm, both.why, both.instead_of_cm) == (far, "kept", near)
    alone = build_ladder(_weak_client(far), FREE, AT_45, LIMITS).steps
    assert build_ladder(_weak_client(near, far), FREE, AT_45, LIMITS).steps == alone
    one = _step(_weak_client(near), AT_45)
    steps = build_ladder(_weak_client(far), FREE, AT_45, LIMITS).steps
    other = min(steps, key=lambda step: abs(step.mean_nm - one.mean_nm))
    assert other.mean_nm == pytest.approx(one.mean_nm, rel=0.05)
    kept = [
        _lowest_over_peak(arc_at(_weak_client(height), AT_45, step, step.distance_cm, Anchor(height, 45.0)))
        for height, step in ((near, one), (far, other))
    ]
    assert kept[1] > kept[0] + 0.05
    wary = {**LIMITS, "kept_gain_min": 0.30}
    assert place_anchor(_weak_client(near, far), FREE, AT_45, wary).anchor_height_cm == near


@pytest.mark.parametrize("place", POSITIONS, ids=NAMES)
def test_the_landmark_and_the_turn_of_the_position_keep_the_load_about_as_well_as_any_place(place: Position) -> None:
    """Common practice puts the anchor there. Of all heights and turns, at the same mean torque, none keeps the load
    much better at 45 and 90 degrees; at 0 degrees a client turned in would keep more, at the cost of the start."""
    client = _client(90, 105)
    step = _step(client, place)
    priced = find_alternatives(client, FREE, place, step, LIMITS)
    now = next(one for one in priced.heights if one.in_use)
    assert now.arc is not None
    others = [one.arc.evenness for one in (*priced.heights, *priced.turns) if one.arc is not None]
    assert now.arc.evenness > max(others) - (0.20 if place.abduction_deg == 0 else 0.10)


def test_the_therapist_may_fix_any_of_them() -> None:
    fixed = FixedSetup(position="90", anchor_height_cm=150, body_turn_deg=20.0, distance_cm=115)
    client, plan = _client(90, 150), prescription(fixed)
    place = place_anchor(client, plan, AT_90, LIMITS)
    assert (place.anchor_height_cm, place.body_turn_deg, place.why) == (150, 20.0, "fixed")
    assert {step.distance_cm for step in build_ladder(client, plan, AT_90, LIMITS).steps} == {115}
    assert len({step.distance_cm for step in build_ladder(client, FREE, AT_90, LIMITS).steps}) > 1


def test_a_fixed_distance_without_a_load_names_the_one_mark() -> None:
    plan = prescription(FixedSetup(position="0", distance_cm=61))
    with pytest.raises(NoLoadStep, match="from the mark 61 cm from the anchor: every band is slack"):
        build_ladder(profile(rest_m=1.0), plan, AT_0, LIMITS)


def _nearest_by_hand(client: Profile, place: Position, step: LoadStep, option: AlternativeSetup) -> tuple[int, float]:
    """The mark, and its mean torque, that comes nearest: every mark at home tried."""
    found = []
    for distance_cm in range(client.home.nearest_cm, client.home.farthest_cm + 1, client.home.mark_every_cm):
        asked = ChosenStep(grade=step.grade, strands=step.strands, distance_cm=distance_cm)
        arc = arc_at(client, place, asked, distance_cm, Anchor(option.anchor_height_cm, option.body_turn_deg))
        if arc.elongation[0] >= 0.05 and max(arc.elongation) <= 1.5:
            found.append((abs(arc.mean_nm - step.mean_nm), distance_cm, arc.mean_nm))
    _, distance_cm, mean_nm = min(found)
    return distance_cm, mean_nm


@pytest.mark.parametrize("place", POSITIONS, ids=NAMES)
def test_other_places_are_shown_at_the_mark_that_gives_nearly_the_same(place: Position) -> None:
    client = _client(60, 90, 105, 140)
    step = _step(client, place)
    priced = find_alternatives(client, FREE, place, step, LIMITS)
    assert [one.anchor_height_cm for one in priced.heights] == [60, 90, 105, 140]
    assert sum(one.in_use for one in priced.heights) == sum(one.in_use for one in priced.turns) == 1
    compared = 0
    for option in (*priced.heights, *priced.turns):
        if option.step is None or option.arc is None:
            continue
        compared += 1
        assert (option.step.grade, option.step.strands) == (step.grade, step.strands)
        if option.in_use:
            assert option.step == step
            continue
        distance_cm, mean_nm = _nearest_by_hand(client, place, step, option)
        assert option.step.distance_cm == distance_cm
        assert option.arc.mean_nm == pytest.approx(mean_nm)
    assert compared > 4


def test_the_landmark_is_shown_where_nothing_at_home_is_near_it() -> None:
    client = _client(60, 140)
    heights = find_alternatives(client, FREE, AT_0, _step(client, AT_0), LIMITS).heights
    assert [(one.anchor_height_cm, one.at_home) for one in heights] == [(60, True), (107, False), (140, True)]


def test_a_fixed_height_is_priced_against_the_one_that_would_be_chosen() -> None:
    client = _client(45, 90)
    plan = prescription(FixedSetup(position="90", anchor_height_cm=45))
    priced = find_alternatives(client, plan, AT_90, _step(client, AT_90, plan), LIMITS)
    assert priced.free_height is not None
    assert priced.free_height.anchor_height_cm == place_anchor(client, FREE, AT_90, LIMITS).anchor_height_cm == 90
    assert priced.free_turn is None
    assert priced.distance is None
    now = next(one for one in priced.heights if one.in_use)
    assert now.arc is not None
    assert priced.free_height.arc is not None
    # A low anchor loads the start and loses the end.
    assert now.arc.end_nm < priced.free_height.arc.end_nm


def test_a_fixed_distance_costs_load_steps() -> None:
    client, plan = _client(105), prescription(FixedSetup(position="0", distance_cm=100))
    few, all_of_them = build_ladder(client, plan, AT_0, LIMITS), build_ladder(client, FREE, AT_0, LIMITS)
    step = few.steps[0]
    price = find_alternatives(client, plan, AT_0, step, LIMITS).distance
    assert price is not None
    assert (price.distance_cm, price.steps, price.steps_free) == (100, len(few.steps), len(all_of_them.steps))
    following, freely = rungs(few, step).next_step, rungs(all_of_them, step).next_step
    assert freely is not None
    assert price.rise_free == pytest.approx(freely.mean_nm / step.mean_nm - 1)
    assert (following, price.rise) == (None, None)  # one mark and three bands: each rises by more than 10 %

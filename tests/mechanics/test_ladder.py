"""The load ladder: which steps are on it, in what order, and how it is climbed."""

import itertools
from typing import Literal

import pytest

from coach.mechanics.anchor import Anchor, ImpossibleAnchor
from coach.mechanics.anchor_placement import arc_of_step, place_anchor
from coach.mechanics.ladder import Ladder, NoLoadStep, build_ladder, find_step, known_ladder, rungs
from coach.mechanics.load_steps import find_refusal, home_marks_cm, search_steps
from coach.mechanics.torque import arc_at
from coach.model.band import BandGrade
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.prescription import FixedSetup
from coach.model.profile import AvailableRange, Lengths, Profile
from tests.mechanics.clients import (
    AT_0,
    AT_0_WITH_GAP,
    AT_45,
    AT_90,
    DAY,
    INTERNAL_AT_0,
    LIMITS,
    exact_ladder,
    grade,
    prescription,
    profile,
    three_grades,
)

POSITIONS = (AT_0, AT_45, AT_90, INTERNAL_AT_0)
NAMES = ("0", "45", "90", "internal at 0")
PLAN = prescription()


def _step(mean_nm: float, grade: str = "light", distance_cm: int = 100, strands: Literal[1, 2] = 1) -> LoadStep:
    return LoadStep(grade=grade, strands=strands, distance_cm=distance_cm, mean_nm=mean_nm, peak_nm=mean_nm * 1.5)


def _ladder(*means_nm: float) -> Ladder:
    return exact_ladder(*(_step(mean_nm, distance_cm=100 + number) for number, mean_nm in enumerate(means_nm)))


@pytest.mark.parametrize("place", POSITIONS, ids=NAMES)
@pytest.mark.parametrize("rest_m", [0.6, 1.2, 2.0])
def test_the_ladder_holds_every_step_that_is_taut_and_below_the_ceiling_and_no_other(
    place: Position, rest_m: float
) -> None:
    client = profile(rest_m=rest_m, strands=(1, 2))
    ladder = build_ladder(client, PLAN, place, LIMITS)
    wanted = set()
    for name, strands, distance_cm in itertools.product(("light", "medium", "heavy"), (1, 2), range(60, 261, 5)):
        step = ChosenStep(grade=name, strands=1 if strands == 1 else 2, distance_cm=distance_cm)
        arc = arc_of_step(client, PLAN, place, step, LIMITS)
        if min(arc.elongation) >= 0.05 and max(arc.elongation) <= 1.5 and min(arc.torque_nm) > 1e-9:
            wanted.add((name, strands, distance_cm, round(arc.mean_nm, 4), round(arc.peak_nm, 4)))
    found = [(step.grade, step.strands, step.distance_cm, step.mean_nm, step.peak_nm) for step in ladder.steps]
    assert len(found) == len(set(found))
    assert set(found) == wanted
    means = [step.mean_nm for step in ladder.steps]
    assert means == sorted(means)


def test_the_standing_distance_makes_small_steps() -> None:
    """Grades step by 25-40 % (common practice, no source); marks 5 cm apart step by about 2 %."""
    for place in POSITIONS:
        means = [step.mean_nm for step in build_ladder(profile(), PLAN, place, LIMITS).steps]
        rises = sorted(there / here - 1 for here, there in itertools.pairwise(means))
        assert rises[len(rises) // 2] < 0.03


@pytest.mark.parametrize("place", POSITIONS, ids=NAMES)
def test_every_climb_is_of_2_to_10_percent_and_every_descent_ends_at_the_bottom(place: Position) -> None:
    """2-10 %: ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708 (abstract)."""
    ladder = build_ladder(profile(), PLAN, place, LIMITS)
    step, climbed = next(step for step in ladder.steps if rungs(ladder, step).next_step), 0
    while (here := rungs(ladder, step)).next_step is not None:
        assert step.mean_nm * 1.02 <= here.next_step.mean_nm <= step.mean_nm * 1.10
        assert here.next_step.peak_nm >= step.peak_nm
        step, climbed = here.next_step, climbed + 1
    assert climbed > 10
    while (lower := rungs(ladder, step).easier) is not None:
        assert lower.mean_nm <= step.mean_nm * 0.98
        assert lower.peak_nm <= step.peak_nm
        step = lower
    assert step.mean_nm < ladder.steps[0].mean_nm * 1.10


def test_rungs_are_a_step_with_its_neighbours() -> None:
    ladder = build_ladder(profile(), PLAN, AT_45, LIMITS)
    middle = next(step for step in ladder.steps if (step.grade, step.distance_cm) == ("medium", 150))
    found = rungs(ladder, middle)
    assert found.step == middle
    assert found.easier is not None
    assert found.next_step is not None
    assert found.easier.mean_nm < middle.mean_nm < found.next_step.mean_nm
    assert found.lighter is not None
    assert (found.lighter.grade, found.lighter.distance_cm) == ("light", 150)


def test_a_step_is_found_again_after_its_band_was_measured_anew() -> None:
    ladder = build_ladder(profile(), PLAN, AT_0, LIMITS)
    known = ladder.steps[7]
    assert find_step(ladder, known.model_copy(update={"mean_nm": 99.0})) == known


def test_a_step_whose_band_is_gone_becomes_the_heaviest_not_above_it_or_none() -> None:
    ladder = _ladder(3.0, 4.0, 5.0)
    found = [find_step(ladder, _step(mean_nm, "lost")) for mean_nm in (4.5, 4.0, 9.0)]
    assert [step and step.mean_nm for step in found] == [4.0, 4.0, 5.0]
    assert find_step(ladder, _step(1.0, "lost")) is None
    low_peak = _step(4.5, "lost").model_copy(update={"peak_nm": 5.0})
    assert find_step(ladder, low_peak) == ladder.steps[0]


SHORT, LONG = grade("short", 1.0, 0.3), grade("long", 1.0, 2.8)


@pytest.mark.parametrize(
    ("bands", "phrases"),
    [
        ((LONG,), ("slack at the start", "shorter band", "farther away")),
        ((SHORT,), ("stretches more than 150 %", "longer band", "nearer to the anchor")),
        ((SHORT, LONG), ("slack at the start", "stretches more than 150 %", "another length", "closer together")),
    ],
    ids=("slack", "over", "slack or over"),
)
def test_an_empty_ladder_says_why_and_what_would_mend_it(
    bands: tuple[BandGrade, ...], phrases: tuple[str, ...]
) -> None:
    with pytest.raises(NoLoadStep, match="at 0 degrees, from the marks 150 to 200 cm") as raised:
        build_ladder(profile(bands=bands, nearest_cm=150, farthest_cm=200), PLAN, AT_0, LIMITS)
    for phrase in phrases:
        assert phrase in str(raised.value)


def test_an_anchor_far_above_the_hand_at_90_is_refused_with_a_lower_one_as_the_cure() -> None:
    above = prescription(FixedSetup(position="90", anchor_height_cm=300, body_turn_deg=180.0))
    with pytest.raises(NoLoadStep, match=r"pulls the arm along.*anchor lower"):
        build_ladder(profile(rest_m=0.9), above, AT_90, LIMITS)


@pytest.mark.parametrize("available_deg", [95.0, 105.0, 120.0])
def test_a_band_that_pushes_the_arm_outward_in_the_hold_is_no_load(available_deg: float) -> None:
    """Side-on with the arm at the side, the line of pull passes the elbow near 90 degrees of rotation and then pushes
    outward, at the end where a shoulder gives way. It was on the ladder, because on average it resisted."""
    wide = profile(ranges=(AvailableRange(position="0", available_deg=available_deg, on=DAY),))
    for step in build_ladder(profile(), PLAN, AT_0_WITH_GAP, LIMITS).steps:
        arc = arc_of_step(wide, PLAN, AT_0_WITH_GAP, step, LIMITS)
        refusal = find_refusal(arc, LIMITS)
        if arc.end_nm < 0 and max(arc.elongation) <= 1.5:
            assert refusal is not None
            assert refusal.reason == "helps"
            assert arc.torque_nm[arc.q.index(refusal.at)] <= 1e-9
            assert arc.torque_nm[arc.q.index(refusal.at) - 1] > 0
    if available_deg > 100:
        with pytest.raises(
            NoLoadStep, match=r"at \d\d degrees of rotation the band pulls the arm along.*cap the range"
        ):
            build_ladder(wide, PLAN, AT_0_WITH_GAP, LIMITS)


def test_a_band_that_goes_slack_within_the_arc_is_no_load() -> None:
    """Turned away from the anchor the hand comes nearer to it on the way: taut at both ends, slack in between."""
    away = AT_0.model_copy(update={"body_turn_deg": 30.0, "arc_start_deg": -90.0, "available_deg": 60.0})
    slack = 0
    for distance_cm in range(60, 261, 5):
        for rest_m in (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0):
            client = profile(rest_m=rest_m)
            arc = arc_at(client, away, _step(1.0, "light", distance_cm), distance_cm, Anchor(105, 30.0))
            if arc.elongation[0] >= 0.05 and min(arc.elongation) < 0.05 <= arc.elongation[-1]:
                slack += 1
                refusal = find_refusal(arc, LIMITS)
                assert refusal is not None
                assert refusal.reason in ("slack", "over")
                marks = search_steps(client, away, (distance_cm,), Anchor(105, 30.0), LIMITS)
                assert marks.steps == ()
    assert slack > 0


def test_a_mark_inside_the_body_is_refused() -> None:
    wide = profile(nearest_cm=20, lengths=Lengths(half_biacromial_m=0.24))
    with pytest.raises(ImpossibleAnchor, match=r"20 cm .* inside the body"):
        build_ladder(wide, PLAN, AT_0, LIMITS)


def test_a_range_that_ends_before_it_starts_is_refused() -> None:
    narrow = profile(ranges=(AvailableRange(position="0", available_deg=10.0, on=DAY),))
    with pytest.raises(ValueError, match="ends at 10 degrees, where the arc starts at 20"):
        build_ladder(narrow, PLAN, AT_0.model_copy(update={"arc_start_deg": 20.0}), LIMITS)


def test_the_order_of_the_shelf_changes_nothing_but_ties() -> None:
    there = build_ladder(profile(), PLAN, AT_0, LIMITS)
    turned = build_ladder(profile(bands=tuple(reversed(three_grades(1.0)))), PLAN, AT_0, LIMITS)
    assert {step.model_dump_json() for step in there.steps} == {step.model_dump_json() for step in turned.steps}


@pytest.mark.parametrize("place", [AT_0, AT_45, AT_90], ids=["0", "45", "90"])
def test_a_ladder_is_all_that_its_marks_give_from_its_anchor(place: Position) -> None:
    """Also where the anchor was chosen by looking at the marks: with another one fixed, it is another ladder."""
    client = profile(rest_m=0.75, heights_cm=(60, 90, 120), farthest_cm=180)
    marks = home_marks_cm(client.home)
    for plan in (prescription(), prescription(FixedSetup(position=place.name, anchor_height_cm=90))):
        anchor = place_anchor(client, plan, place, LIMITS).anchor
        steps = build_ladder(client, plan, place, LIMITS).steps
        again = search_steps(client, place, marks, anchor, LIMITS)
        assert [one.model_copy(update={"low_nm": None, "high_nm": None}) for one in steps] == list(again.steps)
        torques = [arc_at(client, place, one, one.distance_cm, anchor).torque_nm for one in again.steps]
        assert list(again.evenness) == [min(each) / max(each) for each in torques]


def test_a_search_near_one_torque_finds_what_the_whole_search_finds_there() -> None:
    client, anchor = profile(rest_m=1.2, strands=(1, 2), nearest_cm=60, farthest_cm=255), Anchor(90, 45.0)
    marks = home_marks_cm(client.home)
    steps = search_steps(client, AT_45, marks, anchor, LIMITS).steps
    middle_nm = next(one.mean_nm for one in steps if one.strands == 2)
    near = search_steps(client, AT_45, marks, anchor, LIMITS, lambda nm: abs(nm / middle_nm - 1) < 0.1)
    wanted = [one for one in steps if abs(one.mean_nm / middle_nm - 1) < 0.1]
    assert {one.strands for one in wanted} == {1, 2}
    assert len(wanted) < len(steps)
    assert list(near.steps) == wanted


def test_a_ladder_is_built_again_where_anything_is_different() -> None:
    client, plan = profile(), prescription()
    asked: list[tuple[Profile, dict[str, float], dict[str, float]]] = [
        (client, dict(LIMITS), {}),
        (client, {**LIMITS, "elongation_max": 1.2}, {}),
        (client, dict(LIMITS), {client.bands[0].name: 900.0}),
        (profile(farthest_cm=180), dict(LIMITS), {}),
    ]
    known = [known_ladder(one, plan, AT_45, limits, used) for one, limits, used in asked]
    assert known == [build_ladder(one, plan, AT_45, limits, used) for one, limits, used in asked]
    assert len({one.steps for one in known}) == len(asked)
    limits = asked[0][1]
    assert known_ladder(client, plan, AT_45, limits, {}) is known[0]
    limits["elongation_max"] = 1.2  # whoever asks may change what was asked with
    assert known_ladder(client, plan, AT_45, limits, {}) == known[1]

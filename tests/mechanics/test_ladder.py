"""The load ladder: which steps are on it, in what order, and how it is climbed."""

import itertools
from datetime import date
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from coach.mechanics.anchor import ImpossibleAnchor
from coach.mechanics.anchor_placement import arc_of_step
from coach.mechanics.ladder import (
    Ladder,
    NoLoadStep,
    build_ladder,
    easier_step,
    find_step,
    first_step,
    lighter_grade,
    next_step,
    rungs,
)
from coach.model.band import BandGrade
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.prescription import FixedSetup
from coach.model.profile import AvailableRange, Lengths, Strength
from tests.mechanics.clients import (
    AT_0,
    AT_45,
    AT_90,
    DAY,
    INTERNAL_AT_0,
    LIMITS,
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
    return Ladder(0, tuple(_step(mean_nm, distance_cm=100 + number) for number, mean_nm in enumerate(means_nm)))


# Turned away from the anchor, the band is longest in the middle of the arc and not at its end.
TURNED_AWAY = AT_0.model_copy(update={"body_turn_deg": 160.0, "available_deg": 60.0})


@pytest.mark.parametrize("place", [*POSITIONS, TURNED_AWAY], ids=(*NAMES, "turned away"))
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
        if arc.elongation[0] >= 0.05 and max(arc.elongation) <= 1.5 and sum(arc.band_nm) > 0:
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
def test_every_climb_ends_at_the_top_and_every_descent_at_the_bottom(place: Position) -> None:
    ladder = build_ladder(profile(), PLAN, place, LIMITS)
    step, climbed = ladder.steps[0], 0
    while (higher := next_step(ladder, step, LIMITS)) is not None:
        assert higher.mean_nm >= step.mean_nm * 1.02
        step, climbed = higher, climbed + 1
    assert climbed > 10
    assert ladder.steps[-1].mean_nm < step.mean_nm * 1.02
    while (lower := easier_step(ladder, step, LIMITS)) is not None:
        assert lower.mean_nm <= step.mean_nm * 0.98
        step = lower
    assert ladder.steps[0].mean_nm > step.mean_nm * 0.98


@pytest.mark.parametrize(
    ("means_nm", "expected_nm"),
    [
        ((10.0, 10.1, 10.3, 10.9, 12.0), 10.3),
        ((10.0, 10.1, 10.99, 12.0), 10.99),
        ((10.0, 10.1, 12.0, 15.0), 12.0),
        ((10.0, 10.1), None),
        ((10.0,), None),
    ],
)
def test_the_next_step_is_the_smallest_of_2_to_10_percent_else_the_smallest_above(
    means_nm: tuple[float, ...], expected_nm: float | None
) -> None:
    """ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708 (abstract)."""
    ladder = _ladder(*means_nm)
    found = next_step(ladder, ladder.steps[0], LIMITS)
    assert (found.mean_nm if found else None) == expected_nm


@pytest.mark.parametrize(
    ("means_nm", "expected_nm"),
    [((8.0, 9.2, 9.7, 9.9, 10.0), 9.7), ((5.0, 8.0, 9.9, 10.0), 8.0), ((9.9, 10.0), None), ((10.0,), None)],
)
def test_one_step_easier_is_the_same_downward(means_nm: tuple[float, ...], expected_nm: float | None) -> None:
    ladder = _ladder(*means_nm)
    found = easier_step(ladder, ladder.steps[-1], LIMITS)
    assert (found.mean_nm if found else None) == expected_nm


def test_one_grade_lighter_keeps_the_mark_and_the_strands() -> None:
    heavy = _step(9.0, "heavy", 100)
    ladder = Ladder(
        0,
        (
            _step(4.0, "light", 100),
            _step(5.0, "medium", 100),
            _step(8.0, "light", 140),
            _step(8.5, "light", 100, 2),
            heavy,
        ),
    )
    lighter = lighter_grade(ladder, heavy)
    assert lighter == _step(5.0, "medium", 100)
    assert lighter_grade(ladder, _step(4.0, "light", 100)) is None
    assert lighter_grade(ladder, _step(8.0, "light", 140)) is None


def test_rungs_are_a_step_with_its_neighbours() -> None:
    ladder = build_ladder(profile(), PLAN, AT_45, LIMITS)
    middle = next(step for step in ladder.steps if (step.grade, step.distance_cm) == ("medium", 150))
    found = rungs(ladder, middle, LIMITS)
    assert found.step == middle
    assert found.easier == easier_step(ladder, middle, LIMITS)
    assert found.next_step == next_step(ladder, middle, LIMITS)
    assert found.lighter is not None
    assert (found.lighter.grade, found.lighter.distance_cm) == ("light", 150)


def test_a_step_is_found_again_after_its_band_was_measured_anew() -> None:
    ladder = build_ladder(profile(), PLAN, AT_0, LIMITS)
    known = ladder.steps[7]
    assert find_step(ladder, known.model_copy(update={"mean_nm": 99.0})) == known


def test_a_step_whose_band_is_gone_becomes_the_heaviest_not_above_it_else_the_lowest() -> None:
    ladder = _ladder(3.0, 4.0, 5.0)
    assert find_step(ladder, _step(4.5, "lost")).mean_nm == 4.0
    assert find_step(ladder, _step(4.0, "lost")).mean_nm == 4.0
    assert find_step(ladder, _step(1.0, "lost")).mean_nm == 3.0
    assert find_step(ladder, _step(9.0, "lost")).mean_nm == 5.0


@settings(deadline=None)
@given(some.lists(some.floats(0.5, 20), min_size=1, max_size=30), some.integers(0, 29))
def test_neighbours_lie_on_their_own_side(means_nm: list[float], place: int) -> None:
    ladder = _ladder(*sorted(means_nm))
    step = ladder.steps[place % len(ladder.steps)]
    higher, lower = next_step(ladder, step, LIMITS), easier_step(ladder, step, LIMITS)
    between = [other.mean_nm for other in ladder.steps if step.mean_nm * 1.02 <= other.mean_nm]
    assert (higher.mean_nm if higher else None) == (min(between) if between else None)
    assert lower is None or lower.mean_nm < step.mean_nm


def _strong(strength_nm: float, on: date = DAY) -> Strength:
    return Strength(position_deg=0, force_n=strength_nm / 0.25, lever_m=0.25, on=on)


def test_the_first_step_is_the_therapists_where_the_ladder_has_it() -> None:
    client = profile(strengths=(_strong(20.0),))
    ladder = build_ladder(client, PLAN, AT_0, LIMITS)
    chosen = ChosenStep(grade="medium", strands=1, distance_cm=150)
    found = first_step(ladder, client, prescription(first_step=chosen), AT_0, LIMITS)
    assert (found.grade, found.distance_cm) == ("medium", 150)
    elsewhere = prescription(first_step=chosen.model_copy(update={"distance_cm": 700}))
    assert first_step(ladder, client, elsewhere, AT_0, LIMITS) == first_step(ladder, client, PLAN, AT_0, LIMITS)


def test_the_first_step_from_the_newest_strength_peaks_between_10_and_40_percent_of_it() -> None:
    """Bitter NL et al., J Shoulder Elbow Surg 2007 (abstract); the lowest such step is our choice."""
    client = profile(strengths=(_strong(5.0, date(2025, 1, 1)), _strong(40.0), _strong(9.0, date(2025, 6, 1))))
    ladder = build_ladder(client, PLAN, AT_0, LIMITS)
    found = first_step(ladder, client, PLAN, AT_0, LIMITS)
    assert 4.0 <= found.peak_nm <= 16.0
    assert all(step.peak_nm < 4.0 for step in ladder.steps if step.mean_nm < found.mean_nm)
    assert found != ladder.steps[0]


@pytest.mark.parametrize("strengths", [(), (_strong(1.0),), (_strong(120.0),)], ids=("unknown", "weak", "strong"))
def test_the_first_step_is_else_the_lowest(strengths: tuple[Strength, ...]) -> None:
    client = profile(strengths=strengths)
    ladder = build_ladder(client, PLAN, AT_0, LIMITS)
    assert first_step(ladder, client, PLAN, AT_0, LIMITS) == ladder.steps[0]


def test_no_step_above_the_window_is_a_first_step() -> None:
    """Where the ladder jumps over the window, the client begins below it."""
    client = profile(strengths=(_strong(20.0),))
    assert first_step(_ladder(1.0, 6.0), client, PLAN, AT_0, LIMITS).mean_nm == 1.0


def test_strength_in_another_position_does_not_count() -> None:
    client = profile(strengths=(_strong(40.0),))
    ladder = build_ladder(client, PLAN, AT_90, LIMITS)
    assert first_step(ladder, client, PLAN, AT_90, LIMITS) == ladder.steps[0]


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
    above = prescription(FixedSetup(position_deg=90, anchor_height_cm=300, body_turn_deg=180.0))
    with pytest.raises(NoLoadStep, match=r"helps the arm along.*anchor lower"):
        build_ladder(profile(rest_m=0.9), above, AT_90, LIMITS)


def test_a_mark_inside_the_body_is_refused() -> None:
    wide = profile(nearest_cm=20, lengths=Lengths(half_biacromial_m=0.24))
    with pytest.raises(ImpossibleAnchor, match=r"20 cm .* inside the body"):
        build_ladder(wide, PLAN, AT_0, LIMITS)


def test_a_range_that_ends_before_it_starts_is_refused() -> None:
    narrow = profile(ranges=(AvailableRange(position_deg=0, available_deg=10.0, on=DAY),))
    with pytest.raises(ValueError, match="ends at 10 degrees, where the arc starts at 20"):
        build_ladder(narrow, PLAN, AT_0.model_copy(update={"arc_start_deg": 20.0}), LIMITS)


def test_the_order_of_the_shelf_changes_nothing_but_ties() -> None:
    there = build_ladder(profile(), PLAN, AT_0, LIMITS)
    turned = build_ladder(profile(bands=tuple(reversed(three_grades(1.0)))), PLAN, AT_0, LIMITS)
    assert {step.model_dump_json() for step in there.steps} == {step.model_dump_json() for step in turned.steps}

"""The next step and one step easier: how large, how sure, and on which band."""

from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from coach.mechanics.ladder import Ladder, build_ladder, rungs
from coach.mechanics.next_step import find_next
from coach.model.load_step import LoadStep
from coach.model.no_session import NoSession
from tests.mechanics.clients import AT_0_WITH_GAP, LIMITS, exact_ladder, prescription, profile
from tests.mechanics.random_clients import random_clients

PLAN = prescription()


def _step(
    mean_nm: float,
    grade: str = "light",
    distance_cm: int = 100,
    strands: Literal[1, 2] = 1,
    peak_nm: float | None = None,
) -> LoadStep:
    peak_nm = mean_nm * 1.5 if peak_nm is None else peak_nm
    return LoadStep(grade=grade, strands=strands, distance_cm=distance_cm, mean_nm=mean_nm, peak_nm=peak_nm)


def _ladder(*means_nm: float) -> Ladder:
    return exact_ladder(*(_step(mean_nm, distance_cm=100 + number) for number, mean_nm in enumerate(means_nm)))


@pytest.mark.parametrize(
    ("means_nm", "smallest_nm", "largest_nm", "none_because", "offered_nm"),
    [
        ((10.0, 10.1, 10.3, 10.9, 12.0), 10.3, 10.9, None, None),
        ((10.0, 10.1, 10.99, 12.0), 10.99, None, None, None),
        ((10.0, 10.1, 12.0, 15.0), None, None, "too_large", 12.0),
        ((10.0, 26.2), None, None, "too_large", 26.2),  # one mark and two bands: it went up by 162 % in silence
        ((10.0, 10.1), None, None, "top", None),
        ((10.0,), None, None, "top", None),
    ],
)
def test_the_next_step_is_inside_2_to_10_percent_or_there_is_none(
    means_nm: tuple[float, ...],
    smallest_nm: float | None,
    largest_nm: float | None,
    none_because: str | None,
    offered_nm: float | None,
) -> None:
    """ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708 (abstract)."""
    ladder = _ladder(*means_nm)
    found = rungs(ladder, ladder.steps[0])
    steps = (found.next_step, found.next_largest, found.offered)
    assert [step.mean_nm if step else None for step in steps] == [smallest_nm, largest_nm, offered_nm]
    assert found.no_next == none_because


def test_light_work_takes_the_largest_rise_and_else_the_smallest() -> None:
    ladder = _ladder(10.0, 10.3, 10.9)
    found = rungs(ladder, ladder.steps[0])
    assert [step.mean_nm for light in (False, True) if (step := found.next_for(light))] == [10.3, 10.9]
    only = rungs(ladder, ladder.steps[1])
    assert only.next_for(light=True) == only.next_for(light=False) == ladder.steps[2]


def test_the_same_band_is_taken_before_another_and_another_only_where_the_same_has_none() -> None:
    ladder = exact_ladder(_step(10.0), _step(10.3, "medium"), _step(10.6, distance_cm=110), _step(10.9, strands=2))
    assert rungs(ladder, ladder.steps[0]).next_step == ladder.steps[2]
    assert rungs(ladder, ladder.steps[0]).next_largest is None
    without = exact_ladder(*(ladder.steps[index] for index in (0, 1, 3)))
    assert rungs(without, ladder.steps[0]).next_step == ladder.steps[1]


def test_a_step_with_a_lower_peak_is_not_next_and_one_with_a_higher_peak_is_not_easier() -> None:
    ladder = exact_ladder(_step(10.0), _step(10.5, distance_cm=110, peak_nm=14.9))
    found = rungs(ladder, ladder.steps[0])
    assert (found.next_step, found.no_next) == (None, "uncertain")
    assert rungs(ladder, ladder.steps[1]).easier is None


def test_no_step_above_the_allowed_peak_is_next() -> None:
    ladder = _ladder(10.0, 10.3, 10.9)
    assert (
        find_next(ladder.steps, ladder.steps[0], ladder.comparison, LIMITS, 15.5).largest
        == find_next(ladder.steps[:2], ladder.steps[0], ladder.comparison, LIMITS).largest
    )
    none = rungs(ladder, ladder.steps[0], most_peak_nm=15.2)
    assert (none.next_step, none.no_next, none.offered) == (None, "strength", None)


@pytest.mark.parametrize(
    ("means_nm", "expected_nm"),
    [((8.0, 9.2, 9.7, 9.9, 10.0), 9.7), ((5.0, 8.0, 9.9, 10.0), 8.0), ((9.9, 10.0), None), ((10.0,), None)],
)
def test_one_step_easier_is_the_same_downward(means_nm: tuple[float, ...], expected_nm: float | None) -> None:
    ladder = _ladder(*means_nm)
    found = rungs(ladder, ladder.steps[-1]).easier
    assert (found.mean_nm if found else None) == expected_nm


def test_one_grade_lighter_keeps_the_mark_and_the_strands() -> None:
    heavy = _step(9.0, "heavy", 100)
    ladder = exact_ladder(
        _step(4.0, "light", 100),
        _step(5.0, "medium", 100),
        _step(8.0, "light", 140),
        _step(8.5, "light", 100, 2),
        heavy,
    )
    assert rungs(ladder, heavy).lighter == _step(5.0, "medium", 100)
    assert rungs(ladder, _step(4.0, "light", 100)).lighter is None
    assert rungs(ladder, _step(8.0, "light", 140)).lighter is None


@given(some.lists(some.floats(0.5, 20), min_size=1, max_size=30), some.integers(0, 29))
def test_neighbours_lie_on_their_own_side(means_nm: list[float], place: int) -> None:
    ladder = _ladder(*sorted(means_nm))
    step = ladder.steps[place % len(ladder.steps)]
    found = rungs(ladder, step)
    inside = [other.mean_nm for other in ladder.steps if step.mean_nm * 1.02 <= other.mean_nm <= step.mean_nm * 1.10]
    assert (found.next_step.mean_nm if found.next_step else None) == (min(inside) if inside else None)
    assert found.easier is None or found.easier.mean_nm < step.mean_nm
    assert (found.next_step is None) == (found.no_next is not None)


def test_a_band_measured_worse_is_less_often_next() -> None:
    """With a scale that is out by 3 N no other band is heavier surely enough; with 0.05 N several are."""
    ladders = {
        u_scale_n: build_ladder(profile(), PLAN, AT_0_WITH_GAP, {**LIMITS, "u_scale_n": u_scale_n})
        for u_scale_n in (0.05, 3.0)
    }
    others = {
        u_scale_n: sum(
            one.step.grade != step.grade
            for step in ladder.steps
            if (
                one := find_next(
                    [other for other in ladder.steps if other.grade != step.grade],
                    step,
                    ladder.comparison,
                    {**LIMITS, "u_scale_n": u_scale_n},
                ).smallest
            )
            is not None
        )
        for u_scale_n, ladder in ladders.items()
    }
    assert others[3.0] < others[0.05] / 2


def test_every_neighbour_of_fifty_random_clients_keeps_the_limits() -> None:
    ladders = 0
    for client, place in random_clients(5, 50):
        try:
            ladder = build_ladder(client, PLAN, place, LIMITS)
        except NoSession:
            continue
        ladders += 1
        for step in ladder.steps[:: max(1, len(ladder.steps) // 6)]:
            found = rungs(ladder, step)
            for other, chance in (
                (found.next_step, found.next_chance),
                (found.next_largest, found.next_largest_chance),
            ):
                if other is None or chance is None:
                    continue
                assert step.mean_nm * 1.02 <= other.mean_nm <= step.mean_nm * 1.10
                assert other.peak_nm >= step.peak_nm
                same = (other.grade, other.strands) == (step.grade, step.strands)
                assert chance >= (0.9 if same else 0.95) - 1e-3
            if found.easier is not None and found.easier_chance is not None:
                assert found.easier_chance >= 0.9 - 1e-3
    assert ladders > 35

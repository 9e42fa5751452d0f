"""Sets of the program's own motions with a cheap phone's noise, against what was played. At length: long_measured."""

from functools import cache

import numpy as np
import pytest

from coach.model.exercise import Position
from coach.motion_capture.analysis import analyse
from coach.motion_capture.asked import asked_of
from coach.motion_capture.results import Found
from tests.motion_capture.long_measured import Tally, tally
from tests.motion_capture.simulated import Person, Simulated, profile_of, simulate
from tests.plans import plan_of, shipped

SEEDS = range(1000, 1024)  # not those that anything was fitted to


@cache
def _tally() -> Tally:
    return tally(SEEDS)


@cache
def _one(person: Person, seed: int = 3) -> tuple[Simulated, Found]:
    made = simulate(person, seed)
    return made, analyse(made.recording, made.asked)


def test_every_set_is_counted_exactly_and_within_one_where_it_is_cut_off_at_both_ends() -> None:
    counts = dict(_tally().counts)
    both = counts.pop("both_within")
    assert [count for each in counts.values() for count in each] == [0] * (len(SEEDS) - len(both))
    assert max(map(abs, both)) <= 1


@pytest.mark.parametrize(("name", "bias", "spread"), [
    ("out_s", 0.06, 0.13), ("hold_s", 0.06, 0.13), ("back_s", 0.06, 0.13), ("relax_s", 0.06, 0.13),
    ("range_deg", 0.8, 2.5), ("drift_deg", 1.5, 2.5),
])  # fmt: skip
def test_errors_are_as_small_as_they_were(name: str, bias: float, spread: float) -> None:
    for (_, what), errors in _tally().errors.items():
        if what == name:
            values = np.array([error for error, _ in errors])
            assert abs(values.mean()) < bias
            assert values.std() < spread


@pytest.mark.parametrize("name", ["out_s", "hold_s", "back_s", "relax_s", "range_deg"])
def test_the_stated_uncertainty_is_neither_too_small_nor_too_great(name: str) -> None:
    """Nine in ten; a few sets tell it to within some percent, a thousand in the long run."""
    assert 0.8 < _tally().coverage(name) < 0.98


@pytest.mark.parametrize("name", ["range lost", "elbow drift"])
def test_fifteen_degrees_of_range_and_ten_of_the_elbow_are_told_from_none(name: str) -> None:
    assert (_tally().rate(name, True, True), _tally().rate(name, False, False)) == (1.0, 1.0)


@pytest.mark.parametrize("lifts", [0.0, 10.0])
def test_an_elbow_that_lifts_in_each_repetition_is_measured_at_45(lifts: float) -> None:
    made, found = _one(Person(position="45", lifts_deg=lifts, drift_deg=5.0))
    within = found.sets[0].elbow_within_deg
    assert within is not None
    assert within.value == pytest.approx(lifts, abs=1.0)
    assert 0.9 < within.u < 1.5
    assert found.sets[0].count == len(made.repetitions)


@pytest.mark.parametrize("position", ["0", "90"])
def test_within_a_repetition_it_is_left_out_where_it_cannot_be_known(position: str) -> None:
    assert _one(Person(position=position))[1].sets[0].elbow_within_deg is None


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("exercise", ["external_rotation", "internal_rotation"])
def test_the_direction_that_is_asked_is_that_of_the_chain(exercise: str, side: str) -> None:
    """The turn seen from above that the command expects, against MuJoCo's chain of the same motion."""
    made, _ = _one(Person(exercise=exercise, side=side))
    position: Position = shipped().exercises[exercise].position("0")
    expected = asked_of(profile_of(side), position, plan_of("tern").prescription.dose, shipped().limit_values({}))
    assert expected.turns_up == made.asked.turns_up
    assert expected.axis_from_vertical_deg == pytest.approx(made.asked.axis_from_vertical_deg)


def test_a_sensor_worn_upside_down_gives_the_same() -> None:
    up, down = (_one(Person(turned=turned))[1].sets[0] for turned in (False, True))
    assert up.count == down.count == 8
    assert up.range_deg is not None
    assert down.range_deg is not None
    assert down.range_deg.value == pytest.approx(up.range_deg.value, abs=3)


def test_gravity_upside_down_in_the_table_is_told_and_the_ways_are_kept_apart() -> None:
    made, right = _one(Person(hurried=0.6))
    flipped = made.recording.__class__(-made.recording.acceleration, made.recording.turning, made.recording.rate_hz)
    found = analyse(flipped, made.asked)
    assert (right.upside_down, found.upside_down) == (False, True)
    for one, other in zip(found.sets[0].repetitions, right.sets[0].repetitions, strict=True):
        assert one.out_s.value == pytest.approx(other.out_s.value, abs=0.05)


def test_a_raise_is_measured_as_a_rotation_about_the_shoulder() -> None:
    made, found = _one(Person(exercise="raise"))
    seen = [one.range_deg.value for one in found.sets[0].repetitions if one.range_deg is not None]
    assert seen == pytest.approx([one.range_deg for one in made.repetitions], abs=2)


def test_without_the_single_repetition_no_range_is_compared() -> None:
    """The recording begins in the pause after it."""
    made, found = _one(Person())
    late = int((found.sets[0].began_s - 3) * made.recording.rate_hz)
    cut = made.recording.__class__(
        made.recording.acceleration[late:], made.recording.turning[late:], made.recording.rate_hz
    )
    again = analyse(cut, made.asked)
    assert (found.unloaded is None, again.unloaded is None) == (False, True)
    assert again.sets[0].count == 8


def test_a_set_that_the_table_cuts_off_says_so() -> None:
    made, found = _one(Person())
    end = int((found.sets[0].repetitions[5].began_s + 4) * made.recording.rate_hz)
    cut = made.recording.__class__(
        made.recording.acceleration[:end], made.recording.turning[:end], made.recording.rate_hz
    )
    again = analyse(cut, made.asked).sets[0]
    assert (found.sets[0].cut_off, again.cut_off, again.count) == (False, True, 6)
    assert again.repetitions[-1].back_s is None or again.repetitions[-1].relax_s is None


def test_a_way_that_is_cut_off_has_no_seconds() -> None:
    """The recording begins within the first way out and ends within the last one."""
    made, found = _one(Person())
    ways = [one.ways[0] for one in (made.repetitions[0], made.repetitions[-1])]
    rows = slice(*(round((began + ended) / 2 * made.recording.rate_hz) for began, ended in ways))
    cut = made.recording.__class__(
        made.recording.acceleration[rows], made.recording.turning[rows], made.recording.rate_hz
    )
    again = analyse(cut, made.asked).sets[0]
    assert (again.count, again.cut_off, len(again.repetitions)) == (8, True, 6)
    seen = [one.out_s.value for one in again.repetitions]
    assert seen == pytest.approx([one.out_s.value for one in found.sets[0].repetitions[1:-1]], abs=0.1)


def test_where_nothing_tells_the_way_out_from_the_way_back_only_the_count_is_known() -> None:
    """With a level axis, and neither a rest nor gravity to tell them; at the side gravity does."""
    level, side = (_one(Person(position=position, window="both_within"), 7)[1].sets[0] for position in ("90", "0"))
    assert (level.count >= 6, level.cut_off, level.repetitions, level.range_deg) == (True, True, (), None)
    assert len(side.repetitions) == side.count - 1


def test_a_hurried_way_that_halts_is_timed() -> None:
    """Each half of it is over in less than half a second."""
    made, found = _one(Person(jerky=True, hurried=0.35))
    seen = found.sets[0].repetitions
    for name in ("out_s", "hold_s", "back_s"):
        values = [getattr(one, name).value for one in seen]
        assert values == pytest.approx([getattr(one, name) for one in made.repetitions], abs=0.15)


def test_a_repetition_that_goes_part_of_the_way_is_counted_with_its_own_range() -> None:
    made, found = _one(Person(cheated=(4,)))
    seen = [one.range_deg.value for one in found.sets[0].repetitions if one.range_deg is not None]
    assert seen == pytest.approx([one.range_deg for one in made.repetitions], abs=4)
    assert seen[4] < 0.7 * seen[3]


def test_a_way_that_halts_is_one_way_and_less_even() -> None:
    smooth, jerky = (_one(Person(jerky=jerky))[1].sets[0] for jerky in (False, True))
    assert (smooth.count, jerky.count) == (8, 8)
    even = [[one.evenness.value for one in each.repetitions if one.evenness] for each in (smooth, jerky)]
    assert np.mean(even[1]) / np.mean(even[0]) == pytest.approx(0.8, abs=0.05)  # the halt takes a fifth of the time


def test_the_sets_of_a_session_are_told_apart_by_their_rests() -> None:
    """A small swing in the rest is no set, and the single repetition before the first stays the one to compare."""
    made, found = _one(Person(repetitions=4, sets=3))
    assert [one.count for one in found.sets] == [4, 4, 4]
    firsts = [made.repetitions[number].began_s for number in (0, 4, 8)]
    assert [one.repetitions[0].began_s for one in found.sets] == pytest.approx(firsts, abs=0.3)
    assert found.unloaded is not None
    assert found.unloaded.range_deg is not None
    assert found.unloaded.range_deg.value == pytest.approx(made.unloaded_deg, abs=4)

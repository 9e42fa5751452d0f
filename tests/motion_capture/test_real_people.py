"""Recordings that nobody here made: what is counted in them, and what is not taken for a set."""

import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from coach.motion_capture.analysis import analyse
from coach.motion_capture.results import Found
from tests.motion_capture.people import BUILT_ON, FRESH, TRUE_COUNT, Watched, watched


@cache
def _found() -> tuple[tuple[Watched, Found], ...]:
    return tuple((one, analyse(one.recording, one.asked)) for one in watched("IR", "ER"))


def _count(found: Found) -> int:
    return sum(one.count for one in found.sets)


def test_forty_band_rotations_are_counted_within_one() -> None:
    counts = {(one.person, one.exercise, one.right): _count(found) for one, found in _found()}
    assert len(counts) == 40
    assert {who: count for who, count in counts.items() if abs(count - TRUE_COUNT) > 1} == {}


@pytest.mark.parametrize(("people", "least"), [(FRESH, 20), (BUILT_ON, 15)], ids=["fresh", "built_on"])
def test_most_are_counted_exactly(people: range, least: int) -> None:
    """The people whom nothing was built on were looked at once; a recording may begin or end within a repetition."""
    exact = [_count(found) == TRUE_COUNT for one, found in _found() if one.person in people]
    assert (len(exact), sum(exact) >= least) == (20, True)


def test_a_way_out_and_back_fill_a_repetition_that_has_no_pause() -> None:
    """The length of a recording divided by its repetitions is, by hand, the seconds of one."""
    for one, found in _found():
        repetitions = [each for each in found.sets[0].repetitions if each.hold_s and each.back_s and each.relax_s]
        parts = [
            each.out_s.value + each.hold_s.value + each.back_s.value + each.relax_s.value
            for each in repetitions
            if each.hold_s and each.back_s and each.relax_s
        ]
        by_hand = found.duration_s / TRUE_COUNT
        assert np.median(parts) == pytest.approx(by_hand, rel=0.15), (one.person, one.exercise, one.right)


def test_the_axis_of_a_rotation_at_the_side_tells_out_from_back() -> None:
    """Without a still start: the way out of the two exercises of one arm turns in opposite directions."""
    assert not any(found.upside_down for _, found in _found())


def test_a_swinging_arm_is_not_taken_for_a_set() -> None:
    """Nor are raises and presses; of the rows, two of one person turn the forearm level."""
    others = {name: [_count(analyse(one.recording, one.asked)) for one in watched(name)] for name in _OTHERS}
    assert {name: sum(map(bool, counts)) for name, counts in others.items()} == _OTHERS


_OTHERS = {"PEN": 0, "ABD": 0, "FEL": 0, "TRAP": 0, "ROW": 2}


def _turns_s(found: Found) -> tuple[list[float], list[float]]:
    """The middles of the pauses at the far end and at the near end of each repetition."""
    far, near = list[float](), list[float]()
    relaxed = 0.0
    for one in found.sets[0].repetitions:
        near.append(one.began_s - relaxed / 2)
        far.append(one.began_s + one.out_s.value + (one.hold_s.value / 2 if one.hold_s else 0.0))
        relaxed = one.relax_s.value if one.relax_s else 0.0
    return far, near


def test_seconds_a_repetition_are_those_read_by_hand() -> None:
    """Four recordings of people whom nothing was built on; hand_counts.toml says how they were read."""
    hand = tomllib.loads((Path(__file__).parent / "hand_counts.toml").read_text(encoding="utf-8"))["recording"]
    by_who = {(one.person, one.exercise, one.right): found for one, found in _found()}
    apart = list[float]()
    for read in hand:
        found, turns = by_who[read["person"], read["exercise"], read["right"]], np.array(read["turns_s"])
        assert _count(found) == len(turns) == TRUE_COUNT
        turns = turns[: len(found.sets[0].repetitions)]  # a last way out that the recording cuts off has no end
        ends = [[min(end, key=lambda at: abs(at - turn)) for turn in turns.tolist()] for end in _turns_s(found)]
        nearest = min(ends, key=lambda end: float(np.abs(np.array(end) - turns).sum()))
        apart += (np.diff(nearest) - np.diff(turns)).tolist()
    assert len(apart) == 4 * (TRUE_COUNT - 1) - 1
    assert abs(np.mean(apart)) < 0.01
    assert np.std(apart) < 0.06  # read to 0.05 s at each end
    assert np.abs(apart).max() < 0.2

"""Recordings that nobody here made: what is counted in them, and what is not taken for a set."""

from functools import cache

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

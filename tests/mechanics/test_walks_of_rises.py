"""Eight rises in a row seldom hold one that is truly a fall."""

from tests.mechanics.clients import LIMITS
from tests.mechanics.walks_of_rises import walks


def test_a_walk_as_shipped_holds_a_true_fall_far_less_often_than_one_to_the_lowest_heavier_step() -> None:
    """By the chance that is asked for, 0.9 on the same band, fewer than 1 - 0.9 ** 8 of walks may hold one."""
    found = walks(shelves=60, draws=40, seed=3)
    assert all(one.whole > 5 for one in found.values())
    for other in ("lowest heavier", "lowest in the window"):
        assert found["as shipped"].share < found[other].share / 2
    assert found["as shipped"].share < found["same band first"].share
    assert found["as shipped"].share < 1 - LIMITS["heavier_same_band"] ** 8

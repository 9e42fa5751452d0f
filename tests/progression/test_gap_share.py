"""How much of the load days away leave."""

import pytest

from coach.progression.facts import gap_share

LIMITS = {"long_gap_days": 14.0, "longer_gap_days": 28.0, "long_gap_load": 0.9, "longer_gap_load": 0.8}


@pytest.mark.parametrize(("days", "share"), [(14, 1.0), (15, 0.9), (28, 0.9), (29, 0.8)])
def test_the_longer_the_gap_the_less_is_left(days: int, share: float) -> None:
    assert gap_share(days, LIMITS) == share


def test_shares_the_wrong_way_round_never_leave_more_after_the_longer_gap() -> None:
    """A clinic lowered the one and forgot the other: the check tells it, and no client is given more."""
    assert gap_share(29, LIMITS | {"long_gap_load": 0.7}) == 0.7

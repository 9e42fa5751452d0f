"""Curves of one row: higher values stand higher, a week without is a dot, and the coarsest terminal can draw them."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from coach.drawing.plots.small_curve import small_bar, small_curve

_HEIGHTS = "▁▂▃▄▅▆"


@given(st.lists(st.floats(0, 10), min_size=1, max_size=12))
def test_a_higher_value_never_stands_lower(values: list[float]) -> None:
    levels = [_HEIGHTS.index(sign) for sign in small_curve(sorted(values), 0.0, 10.0, "quadrants")]
    assert all(one <= other for one, other in pairwise(levels))


def test_the_ends_of_the_scale_and_what_is_beyond_them() -> None:
    assert small_curve((0.0, 10.0, -5.0, 99.0), 0.0, 10.0, "octants") == "▁▆▁▆"
    assert small_curve((0.0, None, 10.0), 0.0, 10.0, "octants") == "▁·▆"


def test_a_terminal_with_halves_only_gets_no_eighths() -> None:
    assert small_curve((0, 5, 10, None), 0.0, 10.0, "halves") == "▄─▀·"


def test_a_bar_is_as_full_as_its_share() -> None:
    assert [small_bar(share, 4) for share in (0.0, 0.5, 1.0, 2.0)] == ["╌╌╌╌", "━━╌╌", "━━━━", "━━━━"]

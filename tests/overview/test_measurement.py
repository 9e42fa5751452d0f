"""A change within the error of measuring is none: the published errors, worked by hand."""

from datetime import date, timedelta

import pytest

from coach.overview.measurement import change_shown, is_change, mark_changes
from tests.plans import shipped

FIRST = date(2026, 7, 6)


def _told(values: list[float], error: float, relative: bool = False) -> list[bool]:
    days = [FIRST + timedelta(days=number) for number in range(len(values))]
    return [one.changed for one in mark_changes(list(zip(days, values, strict=True)), error, relative)]


def test_small_steps_add_up_until_they_are_seen() -> None:
    """Goniometer, same rater: less than 5 degrees is noise (Kolber 2009)."""
    assert _told([70, 72, 74, 75, 78, 70], 5) == [True, False, False, True, False, True]


def test_pain_changes_by_two_of_whole_numbers() -> None:
    """Shoulder pain: 1.1 (Mintken 2009), so on a scale of whole numbers two."""
    assert _told([3, 4, 2, 5], 1.1) == [True, False, False, True]


def test_strength_is_judged_by_a_fraction() -> None:
    """Hand-held dynamometer: 13 to 24 % (Phys Ther Sport 2016)."""
    assert _told([20.0, 24.0, 24.8], 0.24, relative=True) == [True, False, True]


@pytest.mark.parametrize(
    ("first", "last", "change"),
    [("2.21", "2.34", 0.13), ("0.3", "0.1", -0.2), ("71.0", "71.0", 0.0), ("1e+03", "1.25e+03", 250.0)],
)
def test_a_change_is_that_of_the_numbers_beside_it(first: str, last: str, change: float) -> None:
    assert change_shown(first, last) == change


@pytest.mark.parametrize(
    ("name", "published"),
    [
        ("range_error_deg", {5, 9}),
        ("pain_error", {1.1, 2}),
        ("strength_error", {0.13, 0.24}),
        ("activity_change", {2}),
    ],
)
def test_the_errors_are_the_published_ones(name: str, published: set[float]) -> None:
    limit = next(one for one in shipped().limits if one.name == name)
    assert limit.value in published


def test_adding_fractions_loses_nothing() -> None:
    assert is_change(0.1 + 0.2, 1.4, 1.1)

"""What counts as first and as last measured."""

from datetime import date

import pytest

from coach.overview.results.first_and_last import first_and_last
from coach.overview.visits.measured_again import DatedValue

MONDAY, TUESDAY = date(2026, 11, 2), date(2026, 11, 3)


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ([(MONDAY, 68.0)], (DatedValue(68.0, MONDAY), None)),
        # Measured twice on a day, the later value corrects the earlier, on the first day as on the last.
        ([(MONDAY, 68.0), (MONDAY, 66.0)], (DatedValue(66.0, MONDAY), None)),
        ([(MONDAY, 68.0), (MONDAY, 66.0), (TUESDAY, 70.0)], (DatedValue(66.0, MONDAY), DatedValue(70.0, TUESDAY))),
        ([(MONDAY, 66.0), (TUESDAY, 80.0), (TUESDAY, 70.0)], (DatedValue(66.0, MONDAY), DatedValue(70.0, TUESDAY))),
    ],
)
def test_the_later_value_of_a_day_counts(
    values: list[tuple[date, float]], expected: tuple[DatedValue, DatedValue | None]
) -> None:
    assert first_and_last(values) == expected

"""What was measured over time, and which changes are larger than the error of measuring."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

_DIGITS = 6  # far below any error, far above what adding fractions loses


@dataclass(frozen=True)
class Measured:
    """One value on one day; `changed` where it differs from the last that did by the error or more, and at first."""

    on: date
    value: float
    changed: bool


def measured(values: Sequence[tuple[date, float]], error: float, relative: bool = False) -> tuple[Measured, ...]:
    """Each value with whether it is another: told from the last that was another by the error or more.

    A `relative` error is a fraction of that last value. Small steps in one direction add up until they are seen.
    """
    found: list[Measured] = []
    last: float | None = None
    for on, value in values:
        changed = last is None or is_change(last, value, error, relative)
        last = value if changed else last
        found.append(Measured(on, value, changed))
    return tuple(found)


def is_change(before: float, after: float, error: float, relative: bool = False) -> bool:
    """Whether two values differ by the error or more."""
    least = error * abs(before) if relative else error
    return round(abs(after - before), _DIGITS) >= round(least, _DIGITS)

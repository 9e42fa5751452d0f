"""Which changes between measurements are larger than the error of measurement."""

from collections.abc import Sequence
from datetime import date

from msgspec import Struct

_DIGITS = 6  # far finer than any error of measurement, far coarser than the rounding of floats


class Measurement(Struct, frozen=True):
    """A value and its day; `changed` if it is the first or differs from the last changed one by the error."""

    on: date
    value: float
    changed: bool


def mark_changes(
    values: Sequence[tuple[date, float]], error: float, relative: bool = False
) -> tuple[Measurement, ...]:
    """Mark the values of one quantity, in order of time, that differ from the last marked one by the error or more.

    `error` has the unit of the values, or is a fraction of the last marked value if `relative`. Small steps in one
    direction add up until they reach the error.
    """
    found: list[Measurement] = []
    last: float | None = None
    for on, value in values:
        changed = last is None or is_change(last, value, error, relative)
        last = value if changed else last
        found.append(Measurement(on, value, changed))
    return tuple(found)


def is_change(before: float, after: float, error: float, relative: bool = False) -> bool:
    """Whether two values differ by the error or more."""
    least = error * abs(before) if relative else error
    return round(abs(after - before), _DIGITS) >= round(least, _DIGITS)


def change_shown(first: str, last: str) -> float:
    """The change between two numbers as they are shown: that of the exact values can differ in the last digit."""
    return round(float(last) - float(first), _DIGITS)

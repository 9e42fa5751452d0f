"""The axes of a plot: round values, and the labels at them."""

import math
from collections.abc import Mapping, Sequence
from itertools import cycle

from coach.model.message_format import localized

Axis = Mapping[float, str]
"""The labels of an axis by position; the outermost positions are the limits of the axis."""

FRAME_ROWS = 2
"""The rows of a plot that are not its canvas: the axis and its labels."""

_MIN_SPAN = 0.001


def ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Round values that span `low` to `high`: as many as possible, but not more than `most`.

    Raises ValueError if `most` is less than 3, which is too few for a span across zero.
    """
    if most < 3:
        raise ValueError(f"{most} ticks are too few for a span across zero: use at least 3")
    high = max(high, low + _MIN_SPAN)
    step = 10.0 ** math.floor(math.log10((high - low) / most))
    for widen in cycle((2.0, 2.5, 2.0)):  # 1, 2, 5, 10 and so on
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first < most:
            return tuple(round(number * step, 9) for number in range(first, last + 1))
        step *= widen
    raise AssertionError("a cycle has no end")


def even_ticks(low: float, high: float, most: int, rows: int) -> tuple[float, ...]:
    """Round values like `ticks`, at equal distances in a plot of so many rows and with most of its rows used.

    Raises ValueError if `most` is less than 3.
    """
    found = {ticks(low, high, number) for number in range(3, most + 1)} or {ticks(low, high, most)}

    def worth(values: tuple[float, ...]) -> tuple[float, int]:
        share = (high - low) / (values[-1] - values[0])
        return round(share * even_cells(rows - FRAME_ROWS, len(values) - 1) / rows, 1), len(values)

    return max(found, key=worth)


def even_cells(room: int, steps: int) -> int:
    """The most cells, of so many, at which so many steps are equally long; all of them if there are more steps."""
    return (room - 1) // steps * steps + 1 if 0 < steps < room else room


def has_equal_steps(axis: Axis, cells: int) -> bool:
    """Whether the values of an axis are at equal steps, but for less than half a cell."""
    low, high, steps = min(axis, default=0.0), max(axis, default=0.0), len(axis) - 1
    shares = ((value - low) / ((high - low) or 1.0) for value in sorted(axis))
    return steps > 1 and all(abs(share - number / steps) * cells < 0.5 for number, share in enumerate(shares))


def numeric_axis(values: Sequence[float], like: str) -> Axis:
    """An axis labelled with numbers, in the language of the message `like`."""
    return {value: localized(f"{value:g}", like) for value in values}

"""The axes of a plot: round values, and the labels at them."""

import math
from collections.abc import Mapping, Sequence
from itertools import cycle

from coach.model.message_format import localized

Axis = Mapping[float, str]
"""The labels of an axis by position; the outermost positions are the limits of the axis."""

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


def numeric_axis(values: Sequence[float], like: str) -> Axis:
    """An axis labelled with numbers, in the language of the message `like`."""
    return {value: localized(f"{value:g}", like) for value in values}

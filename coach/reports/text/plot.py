"""Curves drawn in characters, told apart by their marks alone, so that they can be read without colour."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import cycle

from coach.model.message_format import as_said

SOLID = "hd"
"""The mark of an unbroken line, drawn in quarters of a cell."""

_LEAST_SPAN = 0.001
_SAMPLE = {SOLID: "▄▀"}


@dataclass(frozen=True)
class Curve:
    """Points to draw: unconnected where `joined` is False. A later curve covers an earlier one."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    mark: str
    """One character, or SOLID."""
    joined: bool = True


def sample(mark: str) -> str:
    """How a mark looks in a line that explains it."""
    return _SAMPLE.get(mark, mark * 2)


def ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Round values from at or below `low` to at or above `high`: as many as there can be, but not above `most`.

    Raises ValueError for fewer than three: below that, no values stand round zero.
    """
    if most < 3:
        raise ValueError(f"{most} values cannot stand round zero: take at least 3")
    high = max(high, low + _LEAST_SPAN)
    step = 10.0 ** math.floor(math.log10((high - low) / most))
    for widen in cycle((2.0, 2.5, 2.0)):  # 1, 2, 5, 10 and so on
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first < most:
            return tuple(round(number * step, 9) for number in range(first, last + 1))
        step *= widen
    raise AssertionError("a cycle has no end")


def plot(curves: Sequence[Curve], width: int, height: int, x_ticks: Sequence[float], like: str = "") -> list[str]:
    """The curves in a frame of `width` by `height` cells; `x_ticks` from the left edge to the right; numbers are
    written as the language of the line `like` does."""
    import plotext  # 90 ms: only a report pays for it

    upward = [value for curve in curves for value in curve.y]
    y_ticks = ticks(min(upward), max(upward), most=max(height // 3, 3))
    figure = plotext.figure
    plotext.terminal.limit(False, False)  # the page has its own width, whatever the window has
    figure.clear()  # the library has one figure, and keeps in it what was drawn before
    figure.plot_size(width, height)
    for axis, values in (("x", x_ticks), ("y", y_ticks)):
        figure.ruler(axis).ticks(
            list(values), [as_said(f"{value:g}", like) for value in values]
        )  # the outer ones are the limits
    for curve in curves:
        signal = figure.signal(list(curve.x), list(curve.y), marker=curve.mark)
        figure.draw(signal.lines() if curve.joined else signal)
    rows = str(plotext.uncolorize(figure.build())).split("\n")
    return [line.rstrip() for line in rows if line.strip()]

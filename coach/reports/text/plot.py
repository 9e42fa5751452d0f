"""Curves drawn in characters and distinguished by their marks, so that they are readable without colour."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import cycle

from coach.model.message_format import localized

SOLID = "hd"
"""The mark of a solid line, drawn in quarters of a cell."""

Axis = Mapping[float, str]
"""The labels of an axis by position; the outermost positions are the limits of the axis."""

_MIN_SPAN = 0.001
_SAMPLE = {SOLID: "▄▀"}


@dataclass(frozen=True)
class Curve:
    """Points to draw, connected if `joined` is set. Later curves are drawn over earlier ones."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    mark: str
    """One character, or SOLID."""
    joined: bool = True


def sample(mark: str) -> str:
    """A mark as it is shown in the legend."""
    return _SAMPLE.get(mark, mark * 2)


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


def plot(curves: Sequence[Curve], width: int, height: int, x_ticks: Sequence[float], like: str = "") -> list[str]:
    """The curves in a frame of `width` by `height` cells; `x_ticks` run from the left edge to the right.

    Numbers are written in the language of the message `like`.
    """
    values = [value for curve in curves for value in curve.y]
    y_ticks = ticks(min(values), max(values), most=max(height // 3, 3))
    return draw(curves, width, height, numeric_axis(x_ticks, like), numeric_axis(y_ticks, like))


def numeric_axis(values: Sequence[float], like: str) -> Axis:
    """An axis labelled with numbers, in the language of the message `like`."""
    return {value: localized(f"{value:g}", like) for value in values}


def draw(curves: Iterable[Curve], width: int, height: int, x_axis: Axis, y_axis: Axis) -> list[str]:
    """The curves in a frame of `width` by `height` cells, as lines without trailing spaces."""
    import plotext  # takes 90 ms, so it is imported only when something is drawn

    figure = plotext.figure
    plotext.terminal.limit(False, False)  # the width is that of the report, not that of the terminal
    figure.clear()  # plotext has one global figure
    figure.plot_size(width, height)
    for name, axis in (("x", x_axis), ("y", y_axis)):
        figure.ruler(name).ticks(list(axis), list(axis.values()))
    for curve in curves:
        signal = figure.signal(list(curve.x), list(curve.y), marker=curve.mark)
        figure.draw(signal.lines() if curve.joined else signal)
    rows = str(plotext.uncolorize(figure.build())).split("\n")
    return [line.rstrip() for line in rows if line.strip()]

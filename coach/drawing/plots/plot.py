"""What a plot shows: lines, marks and spread over two axes, independent of how large it is drawn."""

from typing import Literal

from msgspec import Struct

from coach.drawing.plots.axes import Axis
from coach.drawing.shapes import PagePoint

CurveRole = Literal["curve", "curve_dashed", "curve_dotted"]


class Line(Struct, frozen=True):
    """A line through points in order; `name` is written beside its last point."""

    points: tuple[PagePoint, ...]
    role: CurveRole = "curve"
    name: str = ""


class Marks(Struct, frozen=True):
    """One character at each point; later marks are drawn over earlier ones."""

    points: tuple[PagePoint, ...]
    sign: str


class Spread(Struct, frozen=True):
    """The surface between two edges: for each x, in order, the lower and the upper value."""

    edges: tuple[tuple[float, float, float], ...]


class Plot(Struct, frozen=True):
    """The surfaces lie below the lines, and the marks on top; what is outside the axes is not drawn."""

    x_axis: Axis
    y_axis: Axis
    spreads: tuple[Spread, ...] = ()
    lines: tuple[Line, ...] = ()
    marks: tuple[Marks, ...] = ()

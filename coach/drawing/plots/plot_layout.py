"""Where a plot goes on a grid of cells: its canvas, its axes and labels, and its shapes as a scene.

A value is at the middle of a cell: the limits of an axis are the middles of the first and of the last cell. Values
at equal steps stand at equal distances: the canvas is as much smaller than its room as that needs.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping
from functools import cached_property

from msgspec import Struct

from coach.drawing.grid_fit import CELL_HEIGHT, GridFit
from coach.drawing.line_styles import CELL_STYLES
from coach.drawing.plots.axes import FRAME_ROWS, Axis, even_cells, has_equal_steps
from coach.drawing.plots.plot import Plot, Spread
from coach.drawing.shapes import PagePoint, Scene, Stroke

Place = tuple[int, int]
"""Row and column of a cell."""

AS_DRAWN = GridFit(1.0, 0.0, 0.0)
"""The scene of a plot is in cell widths already."""

LEAST_ROWS = 3
_LEAST_COLUMNS = 8
_GUIDE_EVERY = 2  # columns between the dots that lead from a label to a curve far away
_GUIDE = "·"
_SPREAD_STEP = 0.5  # cell widths


class PlotLayout(Struct, frozen=True, dict=True):
    """A plot on a grid of `columns` by `rows` cells."""

    plot: Plot
    columns: int
    rows: int

    @cached_property
    def left(self) -> int:
        """The columns of the labels of the vertical axis, and the axis itself; half of the first label below fits."""
        named = max((len(label) for label in self.plot.y_axis.values()), default=0)
        return max(named + 1, len(_label_at(self.plot.x_axis, min)) // 2)

    @cached_property
    def wide(self) -> int:
        """The columns of the canvas."""
        return self._across[0]

    @cached_property
    def _across(self) -> tuple[int, int]:
        """The columns of the canvas, and the labels below it that are shown: each, every second one and so on."""
        named = max((len(line.name) + 1 for line in self.plot.lines if line.name), default=0)
        half = (len(_label_at(self.plot.x_axis, max)) - 1) // 2
        room = max(self.columns - self.left - max(named, half), _LEAST_COLUMNS)
        if not has_equal_steps(self.plot.x_axis, room):
            return room, 1
        steps, apart = len(self.plot.x_axis) - 1, max(map(len, self.plot.x_axis.values())) + 1
        fitting = (
            every for every in range(1, steps + 1) if steps % every == 0 and (room - 1) * every // steps >= apart
        )
        every = next(fitting, steps)
        return even_cells(room, steps // every), every

    @cached_property
    def high(self) -> int:
        """The rows of the canvas."""
        room, steps = max(self.rows - FRAME_ROWS, LEAST_ROWS), len(self.plot.y_axis) - 1
        return even_cells(room, steps) if has_equal_steps(self.plot.y_axis, room) else room

    def cell(self, point: PagePoint) -> Place | None:
        """The cell of the canvas that a point lies in; None outside the axes."""
        across, up = self._shares(point)
        if not (-1e-9 <= across <= 1 + 1e-9 and -1e-9 <= up <= 1 + 1e-9):
            return None
        return round((1 - up) * (self.high - 1)), round(across * (self.wide - 1))

    def scene(self) -> Scene:
        """The surfaces and lines, on a page in cell widths with its upper left corner at the origin."""
        strokes = [stroke for spread in self.plot.spreads for stroke in self._surface(spread)]
        strokes += [Stroke(line.role, tuple(map(self._page, line.points))) for line in self.plot.lines]
        return Scene(tuple(strokes), (), (0.0, -self.high * CELL_HEIGHT), (float(self.wide), 0.0))

    def marks(self) -> Mapping[Place, str]:
        """The characters on the canvas."""
        found: dict[Place, str] = {}
        for marks in self.plot.marks:
            for point in marks.points:
                place = self.cell(point)
                if place is not None:
                    found[place] = marks.sign
        return found

    def guides(self) -> Mapping[Place, str]:
        """Sparse signs across the canvas at the height of each labelled value."""
        every = range(_GUIDE_EVERY - 1, self.wide - 1, _GUIDE_EVERY)
        return {(row, column): _GUIDE for row in self._ticks(self.plot.y_axis) for column in every}

    def names(self) -> Mapping[int, str]:
        """The names of the lines by the row of their last points, each on a row of its own."""
        found: dict[int, str] = {}
        named = [(line.points[-1], line.name) for line in self.plot.lines if line.name and line.points]
        for point, name in sorted(named, key=lambda one: -one[0][1]):
            place = self.cell(point)
            row = 0 if place is None else place[0]
            while row in found and row < self.high - 1:
                row += 1
            found.setdefault(row, name)
        return found

    def left_labels(self) -> Mapping[int, str]:
        """What stands left of each row of the canvas, with its part of the axis."""
        labels = self._ticks(self.plot.y_axis)
        at = {row: f"{labels[row].rjust(self.left - 1)}┤" for row in labels}
        return {row: at.get(row, f"{'│':>{self.left}}") for row in range(self.high)}

    def bottom(self) -> tuple[str, str]:
        """The horizontal axis, and its labels; a label that would touch another is left out, the last one never."""
        half = (len(_label_at(self.plot.x_axis, max)) - 1) // 2
        axis, labels = ["─"] * self.wide, [" "] * (self.left + self.wide + half)
        last, free = max(self.plot.x_axis, default=0.0), 0
        at_last = len(labels) - len(self.plot.x_axis.get(last, ""))
        for number, (value, label) in enumerate(sorted(self.plot.x_axis.items())):
            place = self.cell((value, min(self.plot.y_axis)))
            if place is None:
                continue
            axis[place[1]] = "┬"
            if number % self._across[1]:
                continue
            start = max(min(self.left + place[1] - len(label) // 2, len(labels) - len(label)), 0)
            if value == last or (start >= free and start + len(label) < at_last):
                labels[start : start + len(label)] = label
                free = start + len(label) + 1
        return f"{'└':>{self.left}}{''.join(axis)}", "".join(labels)

    def _ticks(self, axis: Axis) -> dict[int, str]:
        """The labels of the vertical axis by row; where two fall on one row, the one nearer to an end."""
        ends = (min(axis), max(axis))
        found: dict[int, str] = {}
        for value, label in sorted(axis.items(), key=lambda one: (one[0] not in ends, one[0])):
            place = self.cell((min(self.plot.x_axis), value))
            if place is not None and label:
                found.setdefault(place[0], label)
        return found

    def _shares(self, point: PagePoint) -> PagePoint:
        """How far a point is between the limits of the axes, 0 to 1."""
        return tuple(  # type: ignore[return-value]
            (value - min(axis)) / ((max(axis) - min(axis)) or 1.0)
            for value, axis in zip(point, (self.plot.x_axis, self.plot.y_axis), strict=True)
        )

    def _page(self, point: PagePoint) -> PagePoint:
        across, up = self._shares(point)
        return 0.5 + across * (self.wide - 1), -(0.5 + (1 - up) * (self.high - 1)) * CELL_HEIGHT

    def _surface(self, spread: Spread) -> Iterator[Stroke]:
        """Upright strokes side by side, each as long as the spread is high there."""
        half = CELL_STYLES["spread"].width / 2
        pages = [
            (self._page((x, low))[0], self._page((x, low))[1], self._page((x, high))[1])
            for x, low, high in spread.edges
        ]
        if not pages:
            return
        at = pages[0][0]
        while at <= pages[-1][0]:
            low, high = _between(pages, at)
            low, high = (low + half, high - half) if high - low > 2 * half else ((low + high) / 2,) * 2
            yield Stroke("spread", ((at, low), (at, high)))
            at += _SPREAD_STEP


def _label_at(axis: Axis, end: Callable[[Axis], float]) -> str:
    """The label at one end of an axis."""
    return axis[end(axis)] if axis else ""


def _between(pages: list[tuple[float, float, float]], at: float) -> PagePoint:
    """The edges at one place, on straight lines between those that are given."""
    number = min(max(bisect_right([page[0] for page in pages], at) - 1, 0), len(pages) - 1)
    here, after = pages[number], pages[min(number + 1, len(pages) - 1)]
    share = (at - here[0]) / ((after[0] - here[0]) or 1.0)
    return here[1] + (after[1] - here[1]) * share, here[2] + (after[2] - here[2]) * share

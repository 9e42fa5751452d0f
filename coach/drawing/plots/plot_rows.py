"""A plot as rows of text for a terminal, drawn by the painter of the drawings."""

from collections.abc import Callable
from itertools import groupby
from typing import TypeVar

from coach.drawing.cells.painter import CellRole, Paint, ink_cell, paint_cell
from coach.drawing.cells.picture import Cell, cells_of, picture_of
from coach.drawing.cells.signs import QUADRANTS, SignSet
from coach.drawing.plots.plot import Plot
from coach.drawing.plots.plot_layout import AS_DRAWN, PlotLayout
from coach.drawing.raster import PaintedRow, TextRow

_Style = TypeVar("_Style", CellRole, Paint)
_CURVES: tuple[CellRole, ...] = ("curve", "curve_dashed", "curve_dotted")


def plot_ink(plot: Plot, columns: int, rows: int, signs: SignSet = QUADRANTS) -> tuple[TextRow, ...]:
    """The plot in signs alone, in `rows` rows of `columns` cells; each row is a tuple of texts with their role."""
    layout = PlotLayout(plot, columns, rows)
    cells = _drawn(layout, signs, ink_cell)
    return _framed(layout, cells, ("empty", "label", "guide"), lambda _: "curve")


def plot_paint(plot: Plot, columns: int, rows: int, signs: SignSet = QUADRANTS) -> tuple[PaintedRow, ...]:
    """The plot like `plot_ink`, with two colours a cell."""
    layout = PlotLayout(plot, columns, rows)
    cells = _drawn(layout, signs, paint_cell)
    return _framed(layout, cells, (Paint("empty"), Paint("label"), Paint("guide")), _mark_paint)


def _mark_paint(under: Paint) -> Paint:
    return Paint("curve", "spread" if "spread" in (under.over, under.under) else "empty")


def plot_lines(plot: Plot, columns: int, rows: int) -> list[str]:
    """The plot as text, without trailing spaces."""
    return ["".join(text for text, _ in row).rstrip() for row in plot_ink(plot, columns, rows)]


def _drawn(
    layout: PlotLayout, signs: SignSet, draw: Callable[[Cell, SignSet], tuple[str, _Style] | None]
) -> list[dict[int, tuple[str, _Style]]]:
    """The cells of each row of the canvas that are not empty. Where curves meet in a cell, the first is drawn."""
    picture = picture_of(layout.scene(), AS_DRAWN, layout.wide, layout.high, signs)
    rows = []
    for number in range(layout.high):
        cells = ((column, draw(_one_curve(cell), signs)) for column, cell in cells_of(picture.row(number)).items())
        rows.append({column: drawn for column, drawn in cells if drawn is not None})
    return rows


def _one_curve(cell: Cell) -> Cell:
    first = next((curve for curve in _CURVES if curve in cell), None)
    return {role: bits for role, bits in cell.items() if role not in _CURVES or role == first}


def _framed(
    layout: PlotLayout,
    cells: list[dict[int, tuple[str, _Style]]],
    styles: tuple[_Style, _Style, _Style],
    mark_on: Callable[[_Style], _Style],
) -> tuple[tuple[tuple[str, _Style], ...], ...]:
    """The canvas with its guides below and its marks above, and the axes with their labels around it."""
    empty, label, quiet = styles
    for (at, column), sign in layout.guides().items():
        cells[at].setdefault(column, (sign, quiet))
    for (at, column), sign in layout.marks().items():
        cells[at][column] = (sign, mark_on(cells[at].get(column, (" ", empty))[1]))
    left, names = layout.left_labels(), layout.names()
    rows: list[list[tuple[str, _Style]]] = []
    for number, canvas in enumerate(cells):
        row: list[tuple[str, _Style]] = [(left[number], label)]
        row.extend(canvas.get(column, (" ", empty)) for column in range(layout.wide))
        row.append((f" {names.get(number, '')}", label))
        rows.append(row)
    rows.extend([(text, label)] for text in layout.bottom())
    return tuple(_runs(each, layout.columns, empty) for each in rows)


def _runs(cells: list[tuple[str, _Style]], columns: int, empty: _Style) -> tuple[tuple[str, _Style], ...]:
    """Neighbouring cells of one style joined, in exactly so many columns."""
    found: list[tuple[str, _Style]] = []
    left = columns
    for style, group in groupby(cells, key=lambda cell: cell[1]):
        text = "".join(text for text, _ in group)[:left]
        left -= len(text)
        found.append((text, style))
    if left:
        found.append((" " * left, empty))
    return tuple(found)

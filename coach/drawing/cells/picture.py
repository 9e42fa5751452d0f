"""A scene drawn large: for every sample of a cell the role that is on top.

A layer is one integer for each line of samples, its lowest bit leftmost, so that a line is filled with one shift.
"""

import math
from collections.abc import Generator, Iterator, Mapping
from functools import lru_cache
from typing import TypeVar

from msgspec import Struct

from coach.drawing.cells.ruled import is_ruled
from coach.drawing.cells.samples import ACROSS, DOWN
from coach.drawing.cells.signs import SignSet
from coach.drawing.coverage import capsule_cut, dash_pieces
from coach.drawing.grid_fit import GridFit
from coach.drawing.line_styles import CELL_STYLES, LineStyle
from coach.drawing.shapes import PagePoint, Role, Scene, Stroke

Cell = Mapping[Role, int]
"""The samples of one cell that each role covers, as bits, the upper left lowest. No sample is covered twice."""


Lines = tuple[int, ...]
"""A layer, or the part of it in one row of cells."""

RowLayers = tuple[tuple[Role, Lines], ...]
"""What the roles cover in one row of cells, the lowest first."""

Drawn = TypeVar("Drawn")

# The edges of a line never lie on the centres of samples, so that its width does not depend on where it lies.
_NUDGE = 1e-3

_CELL_LINE = (1 << ACROSS) - 1


class Picture(Struct, frozen=True):
    """The layers of a scene, the lowest first; no sample is in two of them."""

    columns: int
    rows: int
    layers: Mapping[Role, Lines]

    def row(self, row: int) -> RowLayers:
        """The layers with anything in a row of cells."""
        cut = slice(DOWN * row, DOWN * (row + 1))
        here = ((role, lines[cut]) for role, lines in self.layers.items())
        return tuple((role, lines) for role, lines in here if any(lines))


def cells_of(layers: RowLayers) -> dict[int, dict[Role, int]]:
    """The cells of a row that are not empty, by column."""
    found: dict[int, dict[Role, int]] = {}
    for role, lines in layers:
        inked = 0
        for line in lines:
            inked |= line
        while inked:
            column = ((inked & -inked).bit_length() - 1) // ACROSS
            shift = ACROSS * column
            inked &= ~(_CELL_LINE << shift)
            bits = 0
            for number, line in enumerate(lines):
                bits |= (line >> shift & _CELL_LINE) << ACROSS * number
            found.setdefault(column, {})[role] = bits
    return found


def picture_in_steps(
    scene: Scene, fit: GridFit, columns: int, rows: int, signs: SignSet | None = None
) -> Generator[None, None, Picture]:
    """Draw a scene on a grid of cells, a role a step, twice; the picture is what the generator returns.

    With `signs`, no line is thinner than these signs can show without a gap; without, every line is as thin as its
    style says.
    """
    of_role: dict[Role, list[Stroke]] = {}
    for stroke in scene.strokes:
        if not is_ruled(stroke):
            of_role.setdefault(stroke.role, []).append(stroke)
    layers: dict[Role, Lines] = {}
    for role in CELL_STYLES:
        if role in of_role:
            layers[role] = _layer(tuple(of_role[role]), fit, (columns, rows), signs)
            yield
    uncovered = yield from _uncovered(layers)
    return Picture(columns, rows, uncovered)


def picture_of(scene: Scene, fit: GridFit, columns: int, rows: int, signs: SignSet | None = None) -> Picture:
    """Draw a scene on a grid of cells at once."""
    return in_one_go(picture_in_steps(scene, fit, columns, rows, signs))


def in_one_go(steps: Generator[None, None, Drawn]) -> Drawn:
    """Take all steps of a drawing, and return it."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            drawn: Drawn = end.value
            return drawn


@lru_cache(maxsize=64)
def _layer(strokes: tuple[Stroke, ...], fit: GridFit, size: tuple[int, int], signs: SignSet | None) -> Lines:
    """The strokes of one role. In a moving drawing most roles stand still and are drawn once."""
    columns, rows = size
    lines = [0] * (DOWN * rows)
    for stroke in strokes:
        style = CELL_STYLES[stroke.role]
        width = max(style.width, stroke.width_m * fit.scale)
        points = [fit.to_grid(point) for point in stroke.points]
        for one, other in _pieces(points, style, width, signs):
            thick = width if signs is None else max(width, _least_width(one, other, signs))
            _fill(lines, _sample(one), _sample(other), thick * ACROSS / 2, ACROSS * columns)
    return tuple(lines)


def _pieces(
    points: list[PagePoint], style: LineStyle, width: float, signs: SignSet | None
) -> Iterator[tuple[PagePoint, PagePoint]]:
    """The pieces of a line. A dash is as long as two parts at least: a shorter one can lie between two parts."""
    if signs is not None and style.dash:
        dash = max(style.dash, width + 2 * signs.part_height)
        style = LineStyle(style.width, dash, style.gap)
    return dash_pieces(points, style, width)


def _uncovered(layers: Mapping[Role, Lines]) -> Generator[None, None, dict[Role, Lines]]:
    """What is left of each layer under those above it, one layer a step."""
    above: Lines = ()
    seen: dict[Role, Lines] = {}
    for role, lines in reversed(tuple(layers.items())):
        seen[role] = tuple(line & ~covered for line, covered in zip(lines, above, strict=True)) if above else lines
        above = tuple(line | covered for line, covered in zip(lines, above, strict=True)) if above else lines
        yield
    return dict(reversed(tuple(seen.items())))


def _least_width(one: PagePoint, other: PagePoint, signs: SignSet) -> float:
    """How thick a line must be, in cell widths, so that it fills half of some part wherever it lies.

    A sample less than a part: a line that is just as thick as a part can fill half of two of them.
    """
    length = math.dist(one, other)
    across = abs(other[1] - one[1]) / length if length else 0.0
    along = abs(other[0] - one[0]) / length if length else 1.0
    part = signs.part_height * along + signs.part_width * across
    return max(part - 1 / ACROSS, 1 / 2)


def _sample(point: PagePoint) -> PagePoint:
    return point[0] * ACROSS + _NUDGE, point[1] * ACROSS + _NUDGE


def _fill(lines: list[int], one: PagePoint, other: PagePoint, radius: float, across: int) -> None:
    """Cover the samples whose centres lie in the capsule between two points."""
    first = max(math.ceil(min(one[1], other[1]) - radius - 0.5), 0)
    last = min(math.floor(max(one[1], other[1]) + radius - 0.5), len(lines) - 1)
    for line in range(first, last + 1):
        cut = capsule_cut(one, other, radius, line + 0.5)
        if cut is None:
            continue
        left = max(math.ceil(cut[0] - 0.5), 0)
        right = min(math.floor(cut[1] - 0.5), across - 1)
        if right >= left:
            lines[line] |= ((1 << (right - left + 1)) - 1) << left

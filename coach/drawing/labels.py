"""Places the labels of a drawing: uncut, apart, near what they name, and off the lines if possible."""

import unicodedata
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from coach.drawing.coverage import Coverage
from coach.drawing.grid_fit import CELL_HEIGHT, GridFit
from coach.drawing.line_styles import LINE_STYLES
from coach.drawing.shapes import Label, LabelName, PagePoint

# The cost of covering a cell, in cells of distance from the labelled point.
_OVER_A_LINE, _OVER_A_SURFACE = 12.0, 0.75

# A large label that would cover a line, or be farther than this from its point, is small instead.
_FAR_FOR_LARGE = 14.0
_LARGE_OVER_A_SURFACE = 3.0
_NO_BLOCKS: Mapping[LabelName, tuple[str, ...]] = MappingProxyType({})


class PlacedLabel(Struct, frozen=True):
    """A label in the cells of one row from `column` on."""

    name: LabelName
    text: str
    row: int
    column: int
    cell_width: int
    block: tuple[str, ...] = ()
    """The rows of a large label, from `row` on; none for a label of one row."""


def cell_width(text: str) -> int:
    """The number of cells that a text takes in a terminal."""
    return sum(_cells(character) for character in text)


def _cells(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def place_labels(
    labels: Sequence[Label],
    words: Mapping[LabelName, str],
    fit: GridFit,
    inked: Coverage,
    columns: int,
    rows: int,
    blocks: Mapping[LabelName, tuple[str, ...]] = _NO_BLOCKS,
) -> tuple[PlacedLabel, ...]:
    """Place the labels in order. `words` gives the text of a label instead of its name; an empty text leaves it out.

    A label that does not fit is left out, not cut. `blocks` gives the rows of labels that are drawn large
    where there is room.
    """
    cells_of = [_Row(lines, surfaces) for lines, surfaces in zip(*_covered(inked, rows), strict=True)]
    placed: list[PlacedLabel] = []
    for label in labels:
        text, at = words.get(label.name, label.name), fit.to_grid(label.at)
        for block in (blocks.get(label.name, ()), ()):
            long, high = cell_width(text) if not block else len(block[0]), max(len(block), 1)
            found = _cheapest(cells_of, (long, high), at, columns) if 0 < long <= columns and high <= rows else None
            if found is None or (block and found[0] > _FAR_FOR_LARGE):
                continue
            _, row, column = found
            for taken in range(row, row + high):
                cells_of[taken] = cells_of[taken].with_words(column, long)
            placed.append(PlacedLabel(label.name, text, row, column, long, block))
            break
    return tuple(placed)


class _Row(Struct, frozen=True):
    """The content of a row of cells, one bit for each cell: lines, surfaces, and label texts."""

    lines: int
    surfaces: int
    words: int = 0

    def with_words(self, column: int, long: int) -> "_Row":
        """The row with a label of `long` cells added."""
        return replace(self, words=self.words | ((1 << long) - 1) << column)

    def covering(self, column: int, long: int, over_surface: float) -> float | None:
        """The cost of a label there, with one free cell on either side; None if another label is in the way."""
        mask = ((1 << (long + 2)) - 1) << column
        if (self.words << 1) & mask:
            return None
        over_lines, over_surfaces = ((bits << 1) & mask for bits in (self.lines, self.surfaces))
        return _OVER_A_LINE * over_lines.bit_count() + over_surface * over_surfaces.bit_count()


def _cheapest(
    cells_of: Sequence[_Row], size: tuple[int, int], at: PagePoint, columns: int
) -> tuple[float, int, int] | None:
    """The least cost of a label of this many columns and rows at a point, and where; None if there is no room."""
    (x, y), (long, high) = at, size
    best: tuple[float, int, int] | None = None
    over_surface = _OVER_A_SURFACE if high == 1 else _LARGE_OVER_A_SURFACE
    for row in range(len(cells_of) - high + 1):
        down = abs((row + high / 2) * CELL_HEIGHT - y)
        if best is not None and down > best[0]:
            continue
        for column in range(columns - long + 1):
            away = down + max(column - x, x - column - long, 0.0) + abs(column + long / 2 - x) / 8
            if best is not None and away >= best[0]:
                continue
            covering = [one.covering(column, long, over_surface) for one in cells_of[row : row + high]]
            cost = away + sum(one for one in covering if one is not None)
            if None not in covering and (best is None or cost < best[0]):
                best = (cost, row, column)
    return best


def _covered(inked: Coverage, rows: int) -> tuple[list[int], list[int]]:
    """For each row of cells, the cells with a line and the cells with a surface, one bit for each cell."""
    lines, surfaces = [0] * rows, [0] * rows
    for role, quarters in inked.items():
        # Labels must not cover the head: it is small, and shows in which direction the client looks.
        rows_of = surfaces if LINE_STYLES[role].shade and role != "head" else lines
        for row in range(rows):
            rows_of[row] |= _halved(quarters[2 * row] | quarters[2 * row + 1])
    return lines, surfaces


def _halved(quarters: int) -> int:
    """One bit for each pair of bits, set if either bit of the pair is."""
    bits = 0
    while quarters:
        cell = ((quarters & -quarters).bit_length() - 1) // 2
        bits |= 1 << cell
        quarters &= ~(3 << (2 * cell))
    return bits

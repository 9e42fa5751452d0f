"""Where the words of a drawing go: whole, apart from each other, near what they name, off the lines if they can."""

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from coach.drawing.coverage import Ink
from coach.drawing.grid_fit import CELL_HEIGHT, Fit
from coach.drawing.line_styles import STYLES
from coach.drawing.shapes import Label, LabelName, Point

# What it costs to cover a cell, in cells of distance from the place that is named.
_OVER_A_LINE, _OVER_A_SURFACE = 12.0, 0.75


@dataclass(frozen=True)
class Placed:
    """Words in the cells from `column` on in one row."""

    name: LabelName
    text: str
    row: int
    column: int
    cells: int


def cells(text: str) -> int:
    """How many cells a terminal gives to a text."""
    return sum(_cells(character) for character in text)


def _cells(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def place_labels(
    labels: Sequence[Label], words: Mapping[LabelName, str], place: Fit, inked: Ink, columns: int, rows: int
) -> tuple[Placed, ...]:
    """Place labels in their order. `words` replaces names; an empty word leaves a label out.

    A label for which the grid has no free row of cells is left out rather than cut off.
    """
    cells_of = [_Row(lines, surfaces) for lines, surfaces in zip(*_covered(inked, rows), strict=True)]
    placed: list[Placed] = []
    for label in labels:
        text = words.get(label.name, label.name)
        long = cells(text)
        best = _cheapest(cells_of, long, place.at(label.at), columns) if 0 < long <= columns else None
        if best is not None:
            row, column = best
            cells_of[row] = cells_of[row].with_words(column, long)
            placed.append(Placed(label.name, text, row, column, long))
    return tuple(placed)


@dataclass(frozen=True)
class _Row:
    """What stands in a row of cells, one bit a cell: lines, surfaces, and words."""

    lines: int
    surfaces: int
    words: int = 0

    def with_words(self, column: int, long: int) -> "_Row":
        """The row with words in so many cells more."""
        return replace(self, words=self.words | ((1 << long) - 1) << column)

    def covering(self, column: int, long: int) -> float | None:
        """What it costs to put words there, with one free cell on either side; None where there are words already."""
        mask = ((1 << (long + 2)) - 1) << column
        if (self.words << 1) & mask:
            return None
        over_lines, over_surfaces = ((bits << 1) & mask for bits in (self.lines, self.surfaces))
        return _OVER_A_LINE * over_lines.bit_count() + _OVER_A_SURFACE * over_surfaces.bit_count()


def _cheapest(cells_of: Sequence[_Row], long: int, at: Point, columns: int) -> tuple[int, int] | None:
    """The row and the column at which words so long cost least, near the point and over little; None where full."""
    x, y = at
    best: tuple[float, int, int] | None = None
    for row, cells_there in enumerate(cells_of):
        down = abs((row + 0.5) * CELL_HEIGHT - y)
        if best is not None and down > best[0]:
            continue
        for column in range(columns - long + 1):
            away = down + max(column - x, x - column - long, 0.0) + abs(column + long / 2 - x) / 8
            if best is not None and away >= best[0]:
                continue
            covering = cells_there.covering(column, long)
            if covering is not None and (best is None or away + covering < best[0]):
                best = (away + covering, row, column)
    return None if best is None else best[1:]


def _covered(inked: Ink, rows: int) -> tuple[list[int], list[int]]:
    """For each row of cells, one bit a cell: those with a line in them, and those with a surface."""
    lines, surfaces = [0] * rows, [0] * rows
    for role, quarters in inked.items():
        # The head is small, and shows which way the client looks: no words over it, though it is a surface.
        rows_of = surfaces if STYLES[role].shade and role != "head" else lines
        for row in range(rows):
            rows_of[row] |= _halved(quarters[2 * row] | quarters[2 * row + 1])
    return lines, surfaces


def _halved(quarters: int) -> int:
    """One bit for each pair of bits: set where either of the pair is."""
    bits = 0
    while quarters:
        cell = ((quarters & -quarters).bit_length() - 1) // 2
        bits |= 1 << cell
        quarters &= ~(3 << (2 * cell))
    return bits

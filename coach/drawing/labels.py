"""Where the words of a drawing go: whole, apart from each other, near what they name, off the lines if they can."""

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coach.drawing.fit import CELL_HEIGHT, Fit
from coach.drawing.ink import Ink
from coach.drawing.shapes import Label, LabelName
from coach.drawing.styles import STYLES

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
    lines, surfaces = covered(inked, rows)
    taken = [0] * rows
    placed: list[Placed] = []
    for label in labels:
        text = words.get(label.name, label.name)
        long = cells(text)
        if not 0 < long <= columns:
            continue
        x, y = place.at(label.at)
        best: tuple[float, int, int] | None = None
        for row in range(rows):
            down = abs((row + 0.5) * CELL_HEIGHT - y)
            if best is not None and down > best[0]:
                continue
            for column in range(columns - long + 1):
                # One free cell on either side.
                mask = ((1 << (long + 2)) - 1) << column
                if (taken[row] << 1) & mask:
                    continue
                cost = down + max(column - x, x - column - long, 0.0) + abs(column + long / 2 - x) / 8
                if best is not None and cost >= best[0]:
                    continue
                cost += _OVER_A_LINE * ((lines[row] << 1) & mask).bit_count()
                cost += _OVER_A_SURFACE * ((surfaces[row] << 1) & mask).bit_count()
                if best is None or cost < best[0]:
                    best = (cost, row, column)
        if best is not None:
            _, row, column = best
            taken[row] |= ((1 << long) - 1) << column
            placed.append(Placed(label.name, text, row, column, long))
    return tuple(placed)


def covered(inked: Ink, rows: int) -> tuple[list[int], list[int]]:
    """For each row of cells, one bit a cell: those with a line in them, and those with a surface."""
    lines, surfaces = [0] * rows, [0] * rows
    for role, quarters in inked.items():
        # The head is small, and shows which way the client looks: no words over it, though it is a surface.
        rows_of = surfaces if STYLES[role].shade and role != "head" else lines
        for row in range(rows):
            rows_of[row] |= halved(quarters[2 * row] | quarters[2 * row + 1])
    return lines, surfaces


def halved(quarters: int) -> int:
    """One bit for each pair of bits: set where either of the pair is."""
    bits = 0
    while quarters:
        cell = ((quarters & -quarters).bit_length() - 1) // 2
        bits |= 1 << cell
        quarters &= ~(3 << (2 * cell))
    return bits

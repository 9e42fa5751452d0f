"""A scene as rows of text for a terminal: quadrant blocks for lines, shades for surfaces, words for labels."""

from collections.abc import Mapping
from itertools import groupby
from typing import Literal

from coach.drawing.coverage import Ink, ink
from coach.drawing.grid_fit import fit
from coach.drawing.labels import place_labels
from coach.drawing.line_styles import STYLES
from coach.drawing.shapes import NO_WORDS, LabelName, Role, Scene

CellRole = Role | Literal["label", "empty"]
Run = tuple[str, CellRole]
Row = tuple[Run, ...]

# Upper left 1, upper right 2, lower left 4, lower right 8.
_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"


def raster(scene: Scene, columns: int, rows: int, words: Mapping[LabelName, str] = NO_WORDS) -> tuple[Row, ...]:
    """Draw a scene to scale on `rows` rows of exactly `columns` cells; each row is runs of text of one role.

    `words` gives the text of a label; one that is not there shows its name, an empty one nothing.
    Raises ValueError for a grid without a cell.
    """
    place = fit(scene, columns, rows)
    inked = ink(scene, place, columns, rows)
    grid = [_cells_of(inked, row, columns) for row in range(rows)]
    for label in place_labels(scene.labels, words, place, inked, columns, rows):
        # The text stands in its first cell, and the cells it also fills stay without a character.
        grid[label.row][label.column] = (label.text, "label")
        for column in range(label.column + 1, label.column + label.cells):
            grid[label.row][column] = ("", "label")
    return tuple(_runs(cells) for cells in grid)


def plain_rows(scene: Scene, columns: int, rows: int, words: Mapping[LabelName, str] = NO_WORDS) -> tuple[str, ...]:
    """The same without roles."""
    return tuple("".join(text for text, _ in row) for row in raster(scene, columns, rows, words))


def _cells_of(inked: Ink, row: int, columns: int) -> list[Run]:
    """One row of cells: the lines in it, else the surface on top, else nothing."""
    cells: list[Run] = [(" ", "empty")] * columns
    upper, lower = 0, 0
    for role, style in STYLES.items():
        if role not in inked:
            continue
        above, below = inked[role][2 * row], inked[role][2 * row + 1]
        if not style.shade:
            upper, lower = upper | above, lower | below
        both = above | below
        while both:
            column = ((both & -both).bit_length() - 1) // 2
            both &= ~(3 << (2 * column))
            shift = 2 * column
            shape = style.shade or _QUADRANTS[(upper >> shift & 3) | (lower >> shift & 3) << 2]
            cells[column] = (shape, role)
    return cells


def _runs(cells: list[Run]) -> Row:
    """Neighbours of one role joined."""
    return tuple(
        ("".join(text for text, _ in group), role) for role, group in groupby(cells, key=lambda cell: cell[1])
    )

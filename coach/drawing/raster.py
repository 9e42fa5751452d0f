"""A scene as rows of text for a terminal: quadrant blocks for lines, shades for surfaces, texts for labels."""

from collections.abc import Mapping
from itertools import groupby
from typing import Literal

from coach.drawing.coverage import Coverage, scene_coverage
from coach.drawing.grid_fit import fit_to_grid
from coach.drawing.labels import place_labels
from coach.drawing.line_styles import LINE_STYLES
from coach.drawing.shapes import NO_LABEL_TEXTS, LabelName, Role, Scene

CellRole = Role | Literal["label", "empty"]
TextRun = tuple[str, CellRole]
TextRow = tuple[TextRun, ...]

# Upper left 1, upper right 2, lower left 4, lower right 8.
_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"


def raster(
    scene: Scene, columns: int, rows: int, words: Mapping[LabelName, str] = NO_LABEL_TEXTS
) -> tuple[TextRow, ...]:
    """Draw a scene to scale in `rows` rows of `columns` cells; each row is a tuple of texts with their role.

    `words` gives the texts of labels: a label without one shows its name, one with an empty text is left out. Raises
    ValueError for a grid without cells.
    """
    fit = fit_to_grid(scene, columns, rows)
    inked = scene_coverage(scene, fit, columns, rows)
    grid = [_cells_of(inked, row, columns) for row in range(rows)]
    for label in place_labels(scene.labels, words, fit, inked, columns, rows):
        # The whole text is in its first cell; the other cells that it takes are empty.
        grid[label.row][label.column] = (label.text, "label")
        for column in range(label.column + 1, label.column + label.cell_width):
            grid[label.row][column] = ("", "label")
    return tuple(_runs(cells) for cells in grid)


def plain_rows(
    scene: Scene, columns: int, rows: int, words: Mapping[LabelName, str] = NO_LABEL_TEXTS
) -> tuple[str, ...]:
    """Draw a scene like `raster`, as text without roles."""
    return tuple("".join(text for text, _ in row) for row in raster(scene, columns, rows, words))


def _cells_of(inked: Coverage, row: int, columns: int) -> list[TextRun]:
    """One row of cells: lines, else the topmost surface, else spaces."""
    cells: list[TextRun] = [(" ", "empty")] * columns
    upper, lower = 0, 0
    for role, style in LINE_STYLES.items():
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


def _runs(cells: list[TextRun]) -> TextRow:
    """Join neighbouring cells of one role."""
    return tuple(
        ("".join(text for text, _ in group), role) for role, group in groupby(cells, key=lambda cell: cell[1])
    )

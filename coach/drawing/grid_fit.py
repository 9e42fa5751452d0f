"""Fits a scene into a grid of character cells: centred, to scale, and as large as possible.

Grid coordinates are in cell widths, to the right and downward; a cell is assumed to be twice as high as wide.
"""

from msgspec import Struct

from coach.drawing.shapes import PagePoint, Scene

CELL_HEIGHT = 2.0
"""The height of a cell in cell widths, as is common in terminals: our own choice."""

MARGIN = 1.0
"""The margin at each edge in cell widths, for the width of a line."""


class GridFit(Struct, frozen=True):
    """The scale in cell widths per metre, and the grid coordinates of the origin of the page."""

    scale: float
    left: float
    top: float

    def to_grid(self, point: PagePoint) -> PagePoint:
        """Convert a point of the page in metres to grid coordinates in cell widths."""
        return self.left + point[0] * self.scale, self.top - point[1] * self.scale


def fit_to_grid(scene: Scene, columns: float, rows: float) -> GridFit:
    """Fit a scene into a grid. Raises ValueError if the grid has no cells."""
    if columns < 1 or rows < 1:
        raise ValueError(f"a drawing needs at least one column and one row, not {columns:g} by {rows:g}")
    wide, high = columns, rows * CELL_HEIGHT
    width, height = scene.high[0] - scene.low[0], scene.high[1] - scene.low[1]
    scale = min(max(wide - 2 * MARGIN, 0.5) / width, max(high - 2 * MARGIN, 0.5) / height)
    return GridFit(
        scale=scale,
        left=wide / 2 - (scene.low[0] + scene.high[0]) / 2 * scale,
        top=high / 2 + (scene.low[1] + scene.high[1]) / 2 * scale,
    )

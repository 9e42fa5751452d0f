"""Where a scene falls on a grid of character cells: as large as it goes, true to scale, in the middle.

Lengths on the grid are in widths of a cell, to the right and downward; a cell is taken to be twice as high as wide.
"""

from dataclasses import dataclass

from coach.drawing.shapes import Point, Scene

CELL_HEIGHT = 2.0
"""Height of a cell in widths of a cell: common in terminals, ours."""

MARGIN = 1.0
"""Room at each edge for the width of a line."""


@dataclass(frozen=True)
class Fit:
    """The scale in cell widths to the metre, and where the origin of the page falls."""

    scale: float
    left: float
    top: float

    def at(self, point: Point) -> Point:
        """A point of the page, in metres, on the grid: right and down, in cell widths."""
        return self.left + point[0] * self.scale, self.top - point[1] * self.scale


def fit(scene: Scene, columns: float, rows: float) -> Fit:
    """Fit a scene into a grid. Raises ValueError where the grid has no cell to draw in."""
    if columns < 1 or rows < 1:
        raise ValueError(f"a drawing needs at least one column and one row, not {columns:g} by {rows:g}")
    wide, high = columns, rows * CELL_HEIGHT
    width, height = scene.high[0] - scene.low[0], scene.high[1] - scene.low[1]
    scale = min(max(wide - 2 * MARGIN, 0.5) / width, max(high - 2 * MARGIN, 0.5) / height)
    return Fit(
        scale=scale,
        left=wide / 2 - (scene.low[0] + scene.high[0]) / 2 * scale,
        top=high / 2 + (scene.low[1] + scene.high[1]) / 2 * scale,
    )

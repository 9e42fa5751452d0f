"""A widget that draws a scene to scale, as large as the widget is."""

from collections.abc import Mapping
from typing import ClassVar

from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from coach.drawing.raster import TextRow, raster
from coach.drawing.shapes import LabelName, Scene

# The colour of each part of a drawing. Parts also differ in shape, so that none needs its colour.
_STYLE_OF = {
    "arm_now": "drawing--arm",
    "arm_start": "drawing--arm",
    "arm_end": "drawing--arm",
    "band_now": "drawing--band",
    "band_start": "drawing--band",
    "band_end": "drawing--band",
    "anchor": "drawing--band",
    "label": "drawing--label",
}


class SceneView(Widget):
    """Shows one scene at a time."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"drawing--arm", "drawing--band", "drawing--label", "drawing--body"}

    def __init__(self, scene: Scene, words: Mapping[LabelName, str], id: str | None = None) -> None:
        super().__init__(id=id)
        self._scene = scene
        self._messages = words
        self._drawn: tuple[TextRow, ...] = ()
        self._drawn_for: tuple[Scene, int, int] | None = None

    def show(self, scene: Scene) -> None:
        """Show another scene; only the rows that differ are redrawn."""
        if scene == self._scene:
            return
        before, self._scene = self._rows(), scene
        pairs = enumerate(zip(before, self._rows(), strict=False))
        changed = [Region(0, y, self.size.width, 1) for y, (row, other) in pairs if row != other]
        if changed:
            self.refresh(*changed)

    def _rows(self) -> tuple[TextRow, ...]:
        wanted = (self._scene, self.size.width, self.size.height)
        if self._drawn_for != wanted and self.size.width > 0 and self.size.height > 0:
            self._drawn, self._drawn_for = (
                raster(self._scene, self.size.width, self.size.height, self._messages),
                wanted,
            )
        return self._drawn

    def render_line(self, y: int) -> Strip:
        """Draw one row."""
        rows = self._rows()
        if y >= len(rows):
            return Strip.blank(self.size.width, self.rich_style)
        segments = [
            Segment(text, self.get_component_rich_style(_STYLE_OF.get(role, "drawing--body")))
            for text, role in rows[y]
        ]
        return Strip(segments, self.size.width)

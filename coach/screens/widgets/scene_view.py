"""A widget that draws a scene to scale, as large as the widget is."""

from collections.abc import Mapping
from itertools import takewhile

from textual.geometry import Region

from coach.drawing.raster import painted, raster
from coach.drawing.shapes import LabelName, Scene
from coach.screens.widgets.painted_view import PaintedView, Row, Rows

# More than the frames of the widest arc there is.
_MOST_FRAMES = 500


class SceneView(PaintedView):
    """Shows one scene at a time."""

    def __init__(self, scene: Scene, words: Mapping[LabelName, str], id: str | None = None) -> None:
        super().__init__(id=id)
        self._scene = scene
        self._messages = words
        self._frames: dict[Scene, Rows] = {}
        self._drawn_at = (0, 0)
        self._now: tuple[Scene | None, Rows] = (None, ())

    def show(self, scene: Scene) -> None:
        """Show another scene; only what differs is redrawn."""
        if scene == self._scene:
            return
        before, self._scene = self.rows(), scene
        pairs = enumerate(zip(before, self.rows(), strict=False))
        changed = [_changed_part(row, other, y, self.size.width) for y, (row, other) in pairs if row != other]
        if changed:
            self.refresh(*changed)

    def draw_ahead(self, scene: Scene) -> None:
        """Draw a scene that is shown later."""
        self._drawn(scene)

    def rows(self) -> Rows:
        """The drawing in the size of the widget."""
        scene, rows = self._now
        if scene is not self._scene or (self.size.width, self.size.height) != self._drawn_at:
            rows = self._drawn(self._scene)
            self._now = (self._scene, rows)
        return rows

    def _drawn(self, scene: Scene) -> Rows:
        """A scene in the size of the widget. All repetitions are alike, so each frame is drawn once."""
        size = (self.size.width, self.size.height)
        if size != self._drawn_at or len(self._frames) > _MOST_FRAMES:
            self._frames, self._drawn_at, self._now = {}, size, (None, ())
        rows = self._frames.get(scene)
        if rows is None:
            draw = painted if self.has_colours else raster
            rows = draw(scene, *size, self._messages, self.signs, large=True) if min(size) > 0 else ()
            self._frames[scene] = rows
        return rows


def _changed_part(row: Row, other: Row, y: int, columns: int) -> Region:
    """The part of a row from the first text that differs to the last one."""
    left, right = _same_columns(row, other), _same_columns(row[::-1], other[::-1])
    return Region(left, y, columns - left - right, 1)


def _same_columns(row: Row, other: Row) -> int:
    """How many columns are alike at the beginning of two rows."""
    alike = takewhile(lambda pair: pair[0] == pair[1], zip(row, other, strict=False))
    return sum(len(text) for (text, _), _ in alike)

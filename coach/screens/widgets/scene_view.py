"""A widget that draws a scene to scale, as large as the widget is."""

from collections.abc import Generator, Mapping
from itertools import takewhile

from msgspec import Struct
from textual.geometry import Region

from coach.drawing.cells.picture import in_one_go
from coach.drawing.raster import painted_in_steps, raster_in_steps, steps_of
from coach.drawing.shapes import LabelName, Scene
from coach.screens.widgets.painted_view import PaintedView, Row, Rows

# More than the frames of the widest arc there is.
_MOST_FRAMES = 500


class _Ahead(Struct):
    """A scene that is drawn step by step: so many of `count` steps are taken."""

    scene: Scene
    size: tuple[int, int]
    steps: Generator[None, None, Rows]
    count: int
    taken: int = 0


class SceneView(PaintedView):
    """Shows one scene at a time."""

    DEFAULT_CSS = """
SceneView { width: 1fr; height: 1fr; }
"""

    def __init__(self, scene: Scene, words: Mapping[LabelName, str], id: str | None = None) -> None:
        super().__init__(id=id)
        self._scene = scene
        self._messages = words
        self._frames: dict[Scene, Rows] = {}
        self._drawn_at = (0, 0)
        self._now: tuple[Scene | None, Rows] = (None, ())
        self._ahead: _Ahead | None = None

    def show(self, scene: Scene) -> None:
        """Show another scene; only what differs is redrawn."""
        if scene == self._scene:
            return
        before, self._scene = self.rows(), scene
        pairs = enumerate(zip(before, self.rows(), strict=False))
        changed = [_changed_part(row, other, y, self.size.width) for y, (row, other) in pairs if row != other]
        if changed:
            self.refresh(*changed)

    def draw_ahead(self, scene: Scene, part: float = 1.0) -> None:
        """Draw a scene that is shown later, up to a part of its drawing, 0 to 1, so that no frame takes long.

        The one before it is drawn to its end.
        """
        self._fit_size()
        ahead = self._ahead
        if ahead is not None and (ahead.scene, ahead.size) != (scene, self._drawn_at):
            self._go_on(ahead, 1.0)
            ahead = None
        if ahead is None and scene not in self._frames and min(self._drawn_at) > 0:
            ahead = self._begun(scene)
        self._ahead = ahead if ahead is not None and not self._go_on(ahead, part) else None

    def _begun(self, scene: Scene) -> _Ahead:
        draw, (columns, rows) = painted_in_steps if self.has_colours else raster_in_steps, self._drawn_at
        steps = draw(scene, columns, rows, self._messages, self.signs, large=True)
        return _Ahead(scene, self._drawn_at, steps, steps_of(scene, rows))

    def _go_on(self, ahead: _Ahead, part: float) -> bool:
        """Take the steps of a drawing that are due, and keep it once finished; whether it is."""
        try:
            while ahead.taken < part * ahead.count or part >= 1:
                next(ahead.steps)
                ahead.taken += 1
        except StopIteration as end:
            if ahead.size == self._drawn_at:
                self._frames[ahead.scene] = end.value
            return True
        return False

    def rows(self) -> Rows:
        """The drawing in the size of the widget."""
        scene, rows = self._now
        if scene is not self._scene or (self.size.width, self.size.height) != self._drawn_at:
            rows = self._drawn(self._scene)
            self._now = (self._scene, rows)
        return rows

    def _drawn(self, scene: Scene) -> Rows:
        """A scene in the size of the widget. All repetitions are alike, so each frame is drawn once."""
        self._fit_size()
        rows = self._frames.get(scene)
        if rows is None:
            rows = in_one_go(self._begun(scene).steps) if min(self._drawn_at) > 0 else ()
            self._frames[scene] = rows
        return rows

    def _fit_size(self) -> None:
        """Forget what was drawn in another size."""
        size = (self.size.width, self.size.height)
        if size != self._drawn_at or len(self._frames) > _MOST_FRAMES:
            self._frames, self._drawn_at, self._now = {}, size, (None, ())


def _changed_part(row: Row, other: Row, y: int, columns: int) -> Region:
    """The part of a row from the first text that differs to the last one."""
    left, right = _same_columns(row, other), _same_columns(row[::-1], other[::-1])
    return Region(left, y, columns - left - right, 1)


def _same_columns(row: Row, other: Row) -> int:
    """How many columns are alike at the beginning of two rows."""
    alike = takewhile(lambda pair: pair[0] == pair[1], zip(row, other, strict=False))
    return sum(len(text) for (text, _), _ in alike)

"""A widget that draws a scene to scale, as large as the widget is."""

from collections.abc import Mapping
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from coach.drawing.cells.painter import SHARES, CellRole, Paint
from coach.drawing.cells.signs import SIGN_SETS
from coach.drawing.line_styles import SURFACES
from coach.drawing.raster import PaintedRow, TextRow, painted, raster
from coach.drawing.shapes import LabelName, Scene
from coach.screens.base_app import BaseApp
from coach.screens.terminal_signs import DEFAULT_SIGNS

# The colour of each part of a drawing. Parts also differ in shape, so that none needs its colour.
_STYLE_OF: Mapping[CellRole, str] = {
    "trunk": "drawing--body",
    "feet": "drawing--feet",
    "head": "drawing--head",
    "arm_now": "drawing--arm",
    "arm_start": "drawing--arm",
    "arm_end": "drawing--arm",
    "band_now": "drawing--band",
    "band_start": "drawing--band",
    "band_end": "drawing--band",
    "anchor": "drawing--band",
    "label": "drawing--label",
}
_OTHER_STYLE = "drawing--line"

# Terminals with fewer colours cannot show the ones in between.
_MANY_COLOURS = ("256", "truecolor")

# More than the frames of the widest arc there is.
_MOST_FRAMES = 500
Rows = tuple[TextRow, ...] | tuple[PaintedRow, ...]


class SceneView(Widget):
    """Shows one scene at a time."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {*_STYLE_OF.values(), _OTHER_STYLE}

    def __init__(self, scene: Scene, words: Mapping[LabelName, str], id: str | None = None) -> None:
        super().__init__(id=id)
        self._scene = scene
        self._messages = words
        self._frames: dict[Scene, Rows] = {}
        self._drawn_at = (0, 0)
        self._styles_of: dict[CellRole | Paint, Style] = {}

    def show(self, scene: Scene) -> None:
        """Show another scene; only the rows that differ are redrawn."""
        if scene == self._scene:
            return
        before, self._scene = self._rows(), scene
        pairs = enumerate(zip(before, self._rows(), strict=False))
        changed = [Region(0, y, self.size.width, 1) for y, (row, other) in pairs if row != other]
        if changed:
            self.refresh(*changed)

    def notify_style_update(self) -> None:
        """Look the colours up again: the theme may have changed."""
        super().notify_style_update()
        self._styles_of.clear()

    def _rows(self) -> Rows:
        """The drawing in the size of the widget. All repetitions are alike, so each frame is drawn once."""
        size = (self.size.width, self.size.height)
        if size != self._drawn_at or len(self._frames) > _MOST_FRAMES:
            self._frames, self._drawn_at = {}, size
        rows = self._frames.get(self._scene)
        if rows is None:
            rows = self._draw(*size) if min(size) > 0 else ()
            self._frames[self._scene] = rows
        return rows

    def _draw(self, columns: int, rows: int) -> Rows:
        app = self.app
        signs = SIGN_SETS[app.signs if isinstance(app, BaseApp) else DEFAULT_SIGNS]
        if app.no_color or app.console.color_system not in _MANY_COLOURS:
            return raster(self._scene, columns, rows, self._messages, signs, large=True)
        return painted(self._scene, columns, rows, self._messages, signs, large=True)

    def render_line(self, y: int) -> Strip:
        """Draw one row."""
        rows = self._rows()
        if y >= len(rows):
            return Strip.blank(self.size.width, self.rich_style)
        return Strip([Segment(text, self._style(look)) for text, look in rows[y]], self.size.width)

    def _style(self, look: CellRole | Paint) -> Style:
        """The colours of a cell, looked up once."""
        style = self._styles_of.get(look)
        if style is None:
            if isinstance(look, Paint):
                style = Style.from_color(*(colour.rich_color for colour in self._mixed(look)))
            else:
                # Without colours in between a surface is a shade, and needs no quiet colour as well.
                name = _OTHER_STYLE if look in SURFACES else _STYLE_OF.get(look, _OTHER_STYLE)
                style = self.get_component_rich_style(name)
            self._styles_of[look] = style
        return style

    def colours_of(self, paint: Paint) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
        """The colours of the sign and of the rest of a cell, in red, green and blue."""
        sign, rest = self._mixed(paint)
        return sign.rgb, rest.rgb

    def _mixed(self, paint: Paint) -> tuple[Color, Color]:
        over, under = self._colour(paint.over), self._colour(paint.under)
        return under.blend(over, paint.sign / SHARES), under.blend(over, paint.rest / SHARES)

    def _colour(self, role: CellRole) -> Color:
        """The colour of a part on the ground of the widget."""
        ground = self.background_colors[1]
        if role == "empty":
            return ground
        colour = self.get_component_styles(_STYLE_OF.get(role, _OTHER_STYLE)).color
        return ground.blend(colour.with_alpha(1), colour.a) if colour.a < 1 else colour

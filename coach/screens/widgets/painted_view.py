"""What widgets share that show a picture of cells: its colours, and the signs of the terminal."""

from abc import abstractmethod
from collections.abc import Mapping
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.strip import Strip
from textual.widget import Widget

from coach.drawing.cells.painter import SHARES, CellRole, Paint
from coach.drawing.cells.signs import SIGN_SETS, SignSet
from coach.drawing.line_styles import SURFACES
from coach.drawing.raster import PaintedRow, TextRow
from coach.screens.base_app import BaseApp
from coach.screens.terminal_signs import DEFAULT_SIGNS

# The colour of each part of a picture. Parts also differ in shape, so that none needs its colour.
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
    "spread": "drawing--spread",
    "moved": "drawing--label",
    "curve": "drawing--arm",
    "curve_dashed": "drawing--band",
    "curve_dotted": "drawing--band",
    "guide": "drawing--guide",
}
_OTHER_STYLE = "drawing--line"

# Terminals with fewer colours cannot show the ones in between.
_MANY_COLOURS = ("256", "truecolor")

Row = tuple[tuple[str, CellRole | Paint], ...]
Rows = tuple[TextRow, ...] | tuple[PaintedRow, ...]


class PaintedView(Widget):
    """Shows rows of cells, each with its part of the picture or with two colours."""

    DEFAULT_CSS = """
.drawing--body { color: $foreground 36%; }
.drawing--feet { color: $foreground 70%; }
.drawing--head { color: $foreground 60%; }
.drawing--line { color: $foreground 80%; }
.drawing--arm { color: $primary; }
.drawing--band { color: $secondary; }
.drawing--label { color: $foreground; }
.drawing--spread { color: $primary 32%; }
.drawing--guide { color: $foreground 24%; }
"""

    COMPONENT_CLASSES: ClassVar[set[str]] = {*_STYLE_OF.values(), _OTHER_STYLE}

    def __init__(self, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._styles_of: dict[CellRole | Paint, Style] = {}

    @abstractmethod
    def rows(self) -> Rows:
        """The picture in the size of the widget."""

    @property
    def signs(self) -> SignSet:
        """The signs that the terminal draws."""
        app = self.app
        return SIGN_SETS[app.signs if isinstance(app, BaseApp) else DEFAULT_SIGNS]

    @property
    def has_colours(self) -> bool:
        """Whether the terminal shows the colours in between."""
        return not self.app.no_color and self.app.console.color_system in _MANY_COLOURS

    def notify_style_update(self) -> None:
        """Look the colours up again: the theme may have changed."""
        super().notify_style_update()
        self._styles_of.clear()

    def render_line(self, y: int) -> Strip:
        """Draw one row."""
        rows = self.rows()
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

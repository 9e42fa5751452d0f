"""Large letters, drawn as reversed spaces so that they need no colour."""

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from coach.drawing.large_letters import large_text

_INK = Style(reverse=True)


class BigText(Widget):
    """A word or a number, seven rows high or a multiple of that."""

    def __init__(self, text: str, rows: int, dot_columns: int | None = None, id: str | None = None) -> None:
        super().__init__(id=id)
        self._rows = rows
        self._dot_columns = dot_columns
        self._text = text
        self._drawn = large_text(text, rows, dot_columns)
        self._fit()

    def show(self, text: str, dot_columns: int | None = None) -> None:
        """Show another text, in letters as wide as before unless said; nothing is redrawn if it is the same."""
        dot_columns = dot_columns or self._dot_columns
        if (text, dot_columns) != (self._text, self._dot_columns):
            self._text, self._dot_columns = text, dot_columns
            self._drawn = large_text(text, self._rows, dot_columns)
            self._fit()
            self.refresh()

    def _fit(self) -> None:
        self.styles.width, self.styles.height = len(self._drawn[0]), len(self._drawn)

    def render_line(self, y: int) -> Strip:
        """Draw one row of the letters."""
        if y >= len(self._drawn):
            return Strip.blank(self.size.width, self.rich_style)
        ground = self.rich_style
        segments = [Segment(" ", ground + _INK if cell == "█" else ground) for cell in self._drawn[y]]
        return Strip(segments).adjust_cell_length(self.size.width, ground).simplify()

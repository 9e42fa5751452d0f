"""A thin progress bar."""

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

_DONE, _LEFT = "━", "╌"


class Bar(Widget):
    """Fills from the left: a thick line for what is done, a thin broken one for what is left."""

    def __init__(self, part: float, id: str | None = None) -> None:
        super().__init__(id=id)
        self._part = part

    def show(self, part: float) -> None:
        """Show another share, 0 to 1."""
        if part != self._part:
            self._part = part
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """Draw the bar in the first row."""
        if y:
            return Strip.blank(self.size.width, self.rich_style)
        done = round(self._part * self.size.width)
        return Strip([Segment(_DONE * done + _LEFT * (self.size.width - done), self.rich_style)])

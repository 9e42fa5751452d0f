"""A thin bar: how much of something is done."""

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

_DONE, _LEFT = "━", "╌"


class Bar(Widget):
    """Fills from the left; thick for what is done, thin and broken for what is left."""

    def __init__(self, part: float, id: str | None = None) -> None:
        super().__init__(id=id)
        self._part = part

    def show(self, part: float) -> None:
        """Another part, 0 to 1."""
        if part != self._part:
            self._part = part
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """The bar is one row high."""
        if y:
            return Strip.blank(self.size.width, self.rich_style)
        done = round(self._part * self.size.width)
        return Strip([Segment(_DONE * done + _LEFT * (self.size.width - done), self.rich_style)])

"""A thin progress bar, and a row of dots that are counted."""

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from coach.screens.base_app import BaseApp

_DONE, _LEFT = "━", "╌"
# What is done and what is left; where a terminal has few signs of its own, as a text console, those it surely has.
_DOTS, _DOTS_OF_CONSOLE = ("●", "○"), ("■", "░")
_WIDEST_STEP = 4


class Bar(Widget):
    """Fills from the left: a thick line for what is done, a thin broken one for what is left."""

    DEFAULT_CSS = """
Bar { height: 1; color: $primary; }
"""

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


class Dots(Widget):
    """A dot for each of so many, the first `done` of them filled."""

    DEFAULT_CSS = """
Dots { height: 1; color: $primary; }
"""

    def __init__(self, done: int, of: int, id: str | None = None) -> None:
        super().__init__(id=id)
        self._done = done
        self._of = of

    def show(self, done: int) -> None:
        """Fill another number of dots."""
        if done != self._done:
            self._done = done
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """Draw the dots in the first row, as far apart as the row allows."""
        if y:
            return Strip.blank(self.size.width, self.rich_style)
        console = isinstance(self.app, BaseApp) and self.app.signs == "halves"
        row = dot_row(self._done, self._of, self.size.width, _DOTS_OF_CONSOLE if console else _DOTS)
        return Strip([Segment(row, self.rich_style)])


def dot_row(done: int, of: int, columns: int, signs: tuple[str, str] = _DOTS) -> str:
    """A row of so many columns with a dot for each, the first `done` filled; `signs`: a filled and a hollow one."""
    step = max(1, min(_WIDEST_STEP, columns // max(1, of)))
    row = "".join(f"{signs[number >= done]:<{step}}" for number in range(of))
    return row[:columns].ljust(columns)

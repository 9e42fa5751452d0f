"""A long list of lines, one of them chosen, of which the window shows a part."""

from collections.abc import Sequence
from typing import ClassVar, Protocol

from rich.segment import Segment
from textual.events import Resize
from textual.geometry import Offset
from textual.strip import Strip
from textual.widget import Widget

from coach.model.message_format import fill
from coach.overview.caseload_columns import fitted

CHOOSING_KEYS = ("up", "down", "pageup", "pagedown", "home", "end")
_CHOSEN, _OTHER = "> ", "  "
_GAP = 2


class HiddenLines(Protocol):
    """The words for how many lines there are above and below those in the window."""

    @property
    def above(self) -> str:
        """Of the lines above."""

    @property
    def below(self) -> str:
        """Of the lines below."""


class LineList(Widget):
    """Shows lines of text; the chosen one has a mark, so that it does not depend on colour.

    Where not all of them fit, the last row says how many more there are. Lines that belong together may have a head,
    which stands before the first of them in the window.
    """

    DEFAULT_CSS = """
LineList { height: 1fr; padding: 0 2; }
.list--head, .list--hidden { color: $secondary; }
.list--chosen { color: $foreground; background: $primary-muted; text-style: bold; }
"""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"list--chosen", "list--head", "list--hidden"}

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lines: Sequence[str] = ()
        self._heads: Sequence[str] = ()
        self._words: HiddenLines | None = None
        self._top = 0
        self.at = 0

    def show(self, lines: Sequence[str], at: int, words: HiddenLines, heads: Sequence[str] = ()) -> None:
        """Show other lines, with the one at `at` chosen; `heads` has the head of each line, if they have any."""
        self._lines, self._words, self._heads = lines, words, heads
        self.choose(at)

    def choose(self, at: int) -> None:
        """Choose another line and scroll to it."""
        self.at = min(max(at, 0), max(len(self._lines) - 1, 0))
        self._scroll_to_chosen()
        if self.region:  # a list that is not shown in a narrow window has none
            # The terminal's cursor, which screen readers and braille displays follow.
            self.app.cursor_position = self.region.offset + Offset(0, self.at - self._top)
        self.refresh()

    def move(self, key: str) -> None:
        """Move the choice by one of CHOOSING_KEYS: by a line, by a window, or to an end."""
        page = max(self._rows - 1, 1)
        steps = {"up": -1, "down": 1, "pageup": -page, "pagedown": page, "home": -self.at, "end": len(self._lines)}
        self.choose(self.at + steps[key])

    @property
    def _rows(self) -> int:
        """The rows for lines: without the one that says how many more there are, where it is needed."""
        return max(self.size.height - (len(self._lines) > self.size.height), 1)

    @property
    def hidden(self) -> str:
        """How many lines are above and below those in the window; empty if there are none."""
        above, below = self._top, len(self._lines) - self._top - self._rows
        if self._words is None or len(self._lines) <= self.size.height:
            return ""
        told = ((self._words.above, above), (self._words.below, below))
        return "   ".join(fill(words, {"count": count}) for words, count in told if count > 0)

    def _scroll_to_chosen(self) -> None:
        rows = self._rows
        highest = max(len(self._lines) - rows, 0)
        self._top = min(max(min(self._top, self.at), self.at - rows + 1), highest)

    def on_resize(self, _: Resize) -> None:
        """Keep the chosen line in the window."""
        self.choose(self.at)

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        number = self._top + y
        if self._rows <= y < self.size.height and self.hidden:
            style = self.get_component_rich_style("list--hidden")
            text = fitted(f"{_OTHER}{self.hidden}", self.size.width)
            return Strip([Segment(text, style)]).adjust_cell_length(self.size.width, style)
        if number >= len(self._lines):
            return Strip.blank(self.size.width, self.rich_style)
        chosen = number == self.at
        style = self.get_component_rich_style("list--chosen") if chosen else self.rich_style
        head = Segment(self._head(number), self.get_component_rich_style("list--head"))
        room = self.size.width - len(head.text)
        text = fitted(f"{_CHOSEN if chosen else _OTHER}{self._lines[number]}", room)
        return Strip([head, Segment(text, style)]).adjust_cell_length(self.size.width, style)

    def _head(self, number: int) -> str:
        """The head of a line, in the columns of them all; blank where it stands above already."""
        if not self._heads:
            return ""
        here = self._heads[number]
        is_told = number > self._top and here == self._heads[number - 1]
        return ("" if is_told else here).ljust(max(map(len, self._heads)) + _GAP)

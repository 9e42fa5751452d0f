"""A long list of lines, one of them chosen, of which the window shows a part."""

from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from textual.events import Resize
from textual.geometry import Offset
from textual.strip import Strip
from textual.widget import Widget

from coach.overview.caseload_columns import fitted

CHOOSING_KEYS = ("up", "down", "pageup", "pagedown", "home", "end")
_CHOSEN, _OTHER = "> ", "  "


class LineList(Widget):
    """Shows lines of text; the chosen one has a mark, so that it does not depend on colour."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"list--chosen"}

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lines: Sequence[str] = ()
        self._top = 0
        self.at = 0

    def show(self, lines: Sequence[str], at: int) -> None:
        """Show other lines, with the one at `at` chosen."""
        self._lines = lines
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
        page = max(self.size.height - 1, 1)
        steps = {"up": -1, "down": 1, "pageup": -page, "pagedown": page, "home": -self.at, "end": len(self._lines)}
        self.choose(self.at + steps[key])

    def _scroll_to_chosen(self) -> None:
        rows = max(self.size.height, 1)
        highest = max(len(self._lines) - rows, 0)
        self._top = min(max(min(self._top, self.at), self.at - rows + 1), highest)

    def on_resize(self, _: Resize) -> None:
        """Keep the chosen line in the window."""
        self.choose(self.at)

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        number = self._top + y
        if number >= len(self._lines):
            return Strip.blank(self.size.width, self.rich_style)
        chosen = number == self.at
        style = self.get_component_rich_style("list--chosen") if chosen else self.rich_style
        text = fitted(f"{_CHOSEN if chosen else _OTHER}{self._lines[number]}", self.size.width)
        return Strip([Segment(text, style)]).adjust_cell_length(self.size.width, style)

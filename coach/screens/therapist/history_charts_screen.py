"""The charts of a client's history, one at a time, as large as the window."""

from collections.abc import Callable, Sequence

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.message_format import fill
from coach.model.messages.therapist import ClientScreenMessages
from coach.overview.history_chart import Chart
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import key_lines, static_text

_OTHER_ROWS = 2  # the title and the keys
_STEPS = {"right": 1, "enter": 1, "space": 1, "left": -1, "backspace": -1}

DrawChart = Callable[[Chart, int, int], Sequence[str]]


class HistoryChartsScreen(Screen[None]):
    """Shows one chart at a time; `draw` makes its rows for a width in columns and a height in rows."""

    def __init__(self, charts: Sequence[Chart], draw: DrawChart, messages: ClientScreenMessages) -> None:
        super().__init__()
        self._charts, self._draw, self._messages = charts, draw, messages
        self._index = 0

    def compose(self) -> ComposeResult:
        """The title, the chart, the keys."""
        yield static_text("", id="title")
        yield VerticalScroll(static_text("", id="page-text"), id="page", can_focus=False)
        yield static_text("", id="keys")

    def on_mount(self) -> None:
        """Show the first chart."""
        self._show()

    def on_resize(self, _: Resize) -> None:
        """Redraw for the new size."""
        self.call_after_refresh(self._show)

    def on_key(self, event: Key) -> None:
        """Show another chart, scroll, or go back."""
        event.stop()
        page = self.query_one("#page", VerticalScroll)
        if event.key in _STEPS:
            self._index = (self._index + _STEPS[event.key]) % len(self._charts)
            page.scroll_home(animate=False)
            self._show()
        elif event.key in ("escape", "q"):
            self.dismiss()
        else:
            scroll_by_key(page, event.key)

    def _show(self) -> None:
        chart, size = self._charts[self._index], self.size
        rows = self._draw(chart, size.width, size.height - _OTHER_ROWS)
        messages = self._messages.keys
        of = {"number": self._index + 1, "pictures": len(self._charts)}
        longer = len(rows) > size.height - _OTHER_ROWS
        keys = [f"← → {fill(messages['pictures'], of)}", *([f"up down {messages['scroll']}"] if longer else [])]
        self.query_one("#title", Static).update(chart.title)
        self.query_one("#page-text", Static).update("\n".join(rows))
        self.query_one("#keys", Static).update(key_lines([*keys, f"esc {messages['back']}"], size.width))

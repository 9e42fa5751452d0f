"""A report on a screen of its own, made in the background and scrolled by the arrow keys."""

from collections.abc import Callable
from functools import partial

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key
from textual.screen import Screen
from textual.widgets import Static

from coach.model.messages.therapist import ClientScreenMessages
from coach.screens.therapist.report_unavailable import ReportUnavailable
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import key_lines, static_text


class TextScreen(Screen[None]):
    """Shows the text returned by `make_text`, and until then that it is being prepared."""

    def __init__(self, title: str, make_text: Callable[[], str], messages: ClientScreenMessages) -> None:
        super().__init__()
        self._title, self._make_text, self._messages = title, make_text, messages

    def compose(self) -> ComposeResult:
        """The title, the text, the keys."""
        keys = (f"up down {self._messages.keys['scroll']}", f"esc {self._messages.keys['back']}")
        yield static_text(self._title, id="title")
        yield VerticalScroll(static_text(self._messages.working, id="page-text"), id="page", can_focus=False)
        yield static_text(key_lines(keys, self.app.size.width), id="keys")

    def on_mount(self) -> None:
        """Make the text in a thread: a simulation takes seconds."""
        self.run_worker(self._make, thread=True)

    def on_key(self, event: Key) -> None:
        """Scroll or go back."""
        event.stop()
        if event.key in ("escape", "q"):
            self.dismiss()
        else:
            scroll_by_key(self.query_one("#page", VerticalScroll), event.key)

    def _make(self) -> None:
        try:
            text = self._make_text()
        except ReportUnavailable as error:
            text = str(error)
        self.app.call_from_thread(partial(self._put, text))

    def _put(self, text: str) -> None:
        if self.is_attached:
            self.query_one("#page-text", Static).update(text.strip("\n"))

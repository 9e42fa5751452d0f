"""A report on a page of its own, longer than the window: made in the background, scrolled by the arrows."""

from collections.abc import Callable
from functools import partial

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key
from textual.screen import Screen
from textual.widgets import Static

from coach.model.messages.client_page import ClientPageWords
from coach.screens.therapist.report_sources import CannotShow
from coach.screens.widgets.scrolling import scrolled
from coach.screens.widgets.text import key_lines, plain


class TextScreen(Screen[None]):
    """Shows the text that `made` gives; until then, that it is being worked out."""

    def __init__(self, title: str, made: Callable[[], str], words: ClientPageWords) -> None:
        super().__init__()
        self._title, self._made, self._words = title, made, words

    def compose(self) -> ComposeResult:
        """The title, the text, the keys."""
        keys = (f"up down {self._words.keys['scroll']}", f"esc {self._words.keys['back']}")
        yield plain(self._title, id="title")
        yield VerticalScroll(plain(self._words.working, id="page-text"), id="page", can_focus=False)
        yield plain(key_lines(keys, self.app.size.width), id="keys")

    def on_mount(self) -> None:
        """The text is made in a thread of its own: a simulation takes seconds."""
        self.run_worker(self._make, thread=True)

    def on_key(self, event: Key) -> None:
        """Scroll, or back."""
        event.stop()
        if event.key in ("escape", "q"):
            self.dismiss()
        else:
            scrolled(self.query_one("#page", VerticalScroll), event.key)

    def _make(self) -> None:
        try:
            text = self._made()
        except CannotShow as error:
            text = str(error)
        self.app.call_from_thread(partial(self._put, text))

    def _put(self, text: str) -> None:
        if self.is_attached:
            self.query_one("#page-text", Static).update(text.strip("\n"))

"""A client's past as pictures, one at a time, as large as the window."""

from collections.abc import Callable, Sequence

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.message_format import fill
from coach.model.messages.client_page import ClientPageWords
from coach.overview.history_chart import Picture
from coach.screens.widgets.scrolling import scrolled
from coach.screens.widgets.text import key_lines, plain

_OTHER_ROWS = 2  # the title and the keys
_STEPS = {"right": 1, "enter": 1, "space": 1, "left": -1, "backspace": -1}

Draw = Callable[[Picture, int, int], Sequence[str]]


class PicturesScreen(Screen[None]):
    """`draw` makes the rows of a picture for so many columns and rows."""

    def __init__(self, pictures: Sequence[Picture], draw: Draw, words: ClientPageWords) -> None:
        super().__init__()
        self._pictures, self._draw, self._words = pictures, draw, words
        self._here = 0

    def compose(self) -> ComposeResult:
        """The title, the picture, the keys."""
        yield plain("", id="title")
        yield VerticalScroll(plain("", id="page-text"), id="page", can_focus=False)
        yield plain("", id="keys")

    def on_mount(self) -> None:
        """The first picture."""
        self._show()

    def on_resize(self, _: Resize) -> None:
        """Drawn anew for another size."""
        self.call_after_refresh(self._show)

    def on_key(self, event: Key) -> None:
        """Another picture, more of this one, or back."""
        event.stop()
        page = self.query_one("#page", VerticalScroll)
        if event.key in _STEPS:
            self._here = (self._here + _STEPS[event.key]) % len(self._pictures)
            page.scroll_home(animate=False)
            self._show()
        elif event.key in ("escape", "q"):
            self.dismiss()
        else:
            scrolled(page, event.key)

    def _show(self) -> None:
        picture, size = self._pictures[self._here], self.size
        rows = self._draw(picture, size.width, size.height - _OTHER_ROWS)
        words = self._words.keys
        of = {"number": self._here + 1, "pictures": len(self._pictures)}
        longer = len(rows) > size.height - _OTHER_ROWS
        keys = [f"← → {fill(words['pictures'], of)}", *([f"up down {words['scroll']}"] if longer else [])]
        self.query_one("#title", Static).update(picture.title)
        self.query_one("#page-text", Static).update("\n".join(rows))
        self.query_one("#keys", Static).update(key_lines([*keys, f"esc {words['back']}"], size.width))

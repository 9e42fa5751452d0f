"""What a signature changes, before and after side by side, to be signed or not."""

from collections.abc import Callable
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.messages.therapist import SteeringMessages
from coach.overview.comparison import ComparisonPart
from coach.overview.comparison_text import ComparisonHeadings, comparison_lines
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import key_lines, static_text
from coach.store.lock import InUse
from coach.toml.diagnostic import FileFault, Refusal

_WIDEST, _EDGES = 120, 5


@dataclass(frozen=True)
class ToSign:
    """What is signed: its name, what it changes, the headings of the columns, and what to say where that is nothing.

    `sign` writes it and returns a sentence on it. It raises Refusal, InUse, FileFault or OSError.
    """

    name: str
    parts: tuple[ComparisonPart, ...]
    headings: ComparisonHeadings
    nothing: str
    sign: Callable[[], str]


class CompareScreen(Screen[str | None]):
    """Dismissed with a sentence on what was signed, or with None."""

    CSS_PATH = "steering.tcss"

    def __init__(self, to_sign: ToSign, messages: SteeringMessages) -> None:
        super().__init__()
        self._to_sign, self._messages = to_sign, messages

    def compose(self) -> ComposeResult:
        """What is signed, the comparison, the keys."""
        yield static_text(self._to_sign.name, id="word")
        yield static_text("", id="refused")
        yield VerticalScroll(static_text("", id="compared"), id="steering", can_focus=False)
        yield static_text("", id="keys")

    def on_resize(self, _: Resize) -> None:
        """Lay out the columns for the new width."""
        self.call_after_refresh(self._show)

    def on_key(self, event: Key) -> None:
        """Sign, scroll, or go back."""
        event.stop()
        if event.key in ("escape", "n"):
            self.dismiss(None)
        elif event.key == "y":
            self._sign()
        else:
            scroll_by_key(self.query_one("#steering", VerticalScroll), event.key)

    def _sign(self) -> None:
        try:
            signed = self._to_sign.sign()
        except (Refusal, InUse, FileFault, OSError) as error:
            self.query_one("#refused", Static).update(str(error))
            return
        self.dismiss(signed)

    def _show(self) -> None:
        messages, width = self._messages, self.size.width
        lines = comparison_lines(self._to_sign.parts, self._to_sign.headings, min(width, _WIDEST) - _EDGES)
        self.query_one("#compared", Static).update("\n".join(lines or [self._to_sign.nothing]))
        keys = [f"y {messages.sign.lower()}", f"up down {messages.keys['scroll']}", f"esc {messages.keys['back']}"]
        self.query_one("#keys", Static).update(key_lines(keys, width))

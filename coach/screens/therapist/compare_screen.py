"""What a signature changes, before and after side by side, to be signed or not."""

from collections.abc import Callable
from datetime import datetime

from msgspec import Struct
from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.messages.therapist import SteeringMessages
from coach.overview.comparison import ComparisonPart
from coach.overview.comparison_text import ComparisonHeadings, comparison_lines
from coach.screens.client.client_frame import BORDER, SMALLEST, ClientFrame
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import key_lines, static_text
from coach.screens.widgets.wide import is_wide
from coach.session.plan import Plan
from coach.store.lock import InUse
from coach.toml.diagnostic import FileFault, Refusal

_WIDEST, _EDGES = 120, 5


class ToSign(Struct, frozen=True):
    """What is signed: its name, what it changes, the headings of the columns, and what to say where that is nothing.

    `sign` writes it and returns a sentence on it. It raises Refusal, InUse, FileFault or OSError. `plan` is the
    session that follows, if it is for one exercise and can be planned; in a wide window its first page is shown.
    """

    name: str
    parts: tuple[ComparisonPart, ...]
    headings: ComparisonHeadings
    nothing: str
    sign: Callable[[], str]
    plan: Plan | None = None


class CompareScreen(Screen[str | None]):
    """Dismissed with a sentence on what was signed, or with None."""

    CSS_PATH = "steering.tcss"

    def __init__(self, to_sign: ToSign, messages: SteeringMessages, at: datetime) -> None:
        super().__init__()
        self._to_sign, self._messages, self._at = to_sign, messages, at

    def compose(self) -> ComposeResult:
        """What is signed, the comparison, the keys."""
        yield static_text(self._to_sign.name, id="word")
        yield static_text("", id="refused")
        yield static_text("", id="keys")
        with Container(id="split", classes="to-sign"):
            yield VerticalScroll(static_text("", id="compared"), id="steering", can_focus=False)
            yield ClientFrame()

    async def on_mount(self) -> None:
        """Show the client's first page as it will be."""
        if self._to_sign.plan is not None:
            frame = self.query_one(ClientFrame)
            frame.set_border_text(self._messages.page_then, "")
            await frame.show_first_page(self._to_sign.plan, self._at)

    def on_resize(self, _: Resize) -> None:
        """Lay out the columns for the new width."""
        self.query_one("#split").set_class(self._with_frame, "wide")
        self.call_after_refresh(self._show)

    @property
    def _with_frame(self) -> bool:
        return self._to_sign.plan is not None and is_wide(self)

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
        room = width - SMALLEST[0] - BORDER if self._with_frame else min(width, _WIDEST)
        lines = comparison_lines(self._to_sign.parts, self._to_sign.headings, room - _EDGES)
        self.query_one("#compared", Static).update("\n".join(lines or [self._to_sign.nothing]))
        keys = [f"y {messages.sign.lower()}", f"up down {messages.keys['scroll']}", f"esc {messages.keys['back']}"]
        self.query_one("#keys", Static).update(key_lines(keys, width))

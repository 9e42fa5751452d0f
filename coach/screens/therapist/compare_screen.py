"""What a signature changes, before and after side by side, to be signed or not."""

from collections.abc import Callable
from datetime import datetime

from msgspec import Struct
from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.content import Content
from coach.model.message_format import fill
from coach.overview.comparison import ComparisonPart
from coach.overview.comparison_text import ComparisonHeadings, comparison_lines
from coach.screens.client.client_frame import BORDER, SMALLEST, ClientFrame
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import static_text, with_rules
from coach.screens.widgets.wide import is_wide
from coach.session.plan import Plan
from coach.store.lock import InUse
from coach.toml.diagnostic import FileFault, Refusal

_WIDEST, _EDGES = 120, 5


class ToSign(Struct, frozen=True):
    """What is signed, for whom and by whom; what it changes, the headings of the columns, what to say if nothing.

    `sign` writes it and returns a sentence on it. It raises Refusal, InUse, FileFault or OSError. `plan` is the
    session that follows, if it is for one exercise and can be planned; in a wide window its first page is shown.
    """

    client: str
    what: str
    initials: str
    parts: tuple[ComparisonPart, ...]
    headings: ComparisonHeadings
    nothing: str
    sign: Callable[[], str]
    plan: Plan | None = None


class CompareScreen(Screen[str | None]):
    """Dismissed with a sentence on what was signed, or with None."""

    CSS_PATH = "steering.tcss"

    def __init__(self, to_sign: ToSign, content: Content, at: datetime) -> None:
        super().__init__()
        self._to_sign, self._messages, self._at = to_sign, content.messages.therapist.steering, at
        self._pages = content.messages.therapist.pages

    def compose(self) -> ComposeResult:
        """The head, what is signed, the comparison, the keys."""
        title = fill(self._messages.signing_title, {"client": self._to_sign.client})
        yield PageHead(title, self._pages.purpose["signing"])
        yield static_text(self._to_sign.what, id="word")
        yield static_text(self._messages.marks, id="marks")
        yield static_text("", id="refused")
        yield static_text("", id="keys")
        with Container(id="split", classes="to-sign"):
            yield VerticalScroll(static_text("", id="compared"), id="steering", can_focus=False)
            yield ClientFrame()

    async def on_mount(self) -> None:
        """Show the client's first page as it will be, and the key that reads on while there is more to read."""
        compared = self.query_one("#steering", VerticalScroll)
        for seen in ("scroll_y", "virtual_size"):
            self.watch(compared, seen, self._name_keys)
        if self._to_sign.plan is not None:
            frame = self.query_one(ClientFrame)
            frame.set_border_text(self._messages.page_then, "")
            await frame.show_first_page(self._to_sign.plan, self._at)

    def _name_keys(self) -> None:
        compared = self.query_one("#steering", VerticalScroll)
        sign = ("y", fill(self._pages.now["sign"], {"initials": self._to_sign.initials}))
        more = [("down", self._pages.now["read_on"])] if compared.scroll_y < compared.max_scroll_y else []
        first, *others = (*more, sign)
        self.query_one(PageHead).ask_for(*first, *others)
        words = self._messages.keys
        scroll = [("up down", words["scroll"])] if compared.max_scroll_y else []
        keys = (("y", words["sign"]), *scroll, ("esc", words["back"]))
        self.query_one("#keys", Static).update(key_bar(keys, self.size.width))

    def on_resize(self, _: Resize) -> None:
        """Lay out the columns for the new width."""
        self.query_one("#split").set_class(self._with_frame, "wide")
        self.call_after_refresh(self._show)

    @property
    def _with_frame(self) -> bool:
        return self._to_sign.plan is not None and is_wide(self)

    def on_key(self, event: Key) -> None:
        """Sign, scroll, or go back."""
        if not takes(self, event):
            return
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
        width = self.size.width
        room = width - SMALLEST[0] - BORDER if self._with_frame else min(width, _WIDEST)
        lines = comparison_lines(self._to_sign.parts, self._to_sign.headings, room - _EDGES)
        compared = with_rules("\n".join(lines or [self._to_sign.nothing]))
        headings = len(lines[0]) if lines else 0
        self.query_one("#compared", Static).update(compared.stylize("bold", 0, headings))
        self.call_after_refresh(self._name_keys)

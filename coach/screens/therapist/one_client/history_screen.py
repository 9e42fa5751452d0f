"""The sessions of a client as a list, the newest first, and all that is said of the chosen one beside or below it."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from textual.app import ComposeResult
from textual.containers import Container, Vertical, VerticalScroll
from textual.content import Content as StyledText
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.content import Content
from coach.screens.therapist.report_unavailable import ReportUnavailable
from coach.screens.therapist.text_screen import unavailable_screen
from coach.screens.widgets.line_list import CHOOSING_KEYS, LineList
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.scrolling import DETAIL_KEYS, scroll_by_key
from coach.screens.widgets.text import static_text
from coach.screens.widgets.wide import is_wide


class HistoryEntry(NamedTuple):
    """A line of the list, the sentences that belong to it, and what a decision rests on, which is shown dimmer."""

    line: str
    sentences: tuple[str, ...]
    basis: tuple[str, ...] = ()


class HistoryScreen(Screen[None]):
    """Shows the entries that `read` returns, and until then that it is being prepared."""

    def __init__(self, title: str, read: Callable[[], Sequence[HistoryEntry]], content: Content) -> None:
        super().__init__()
        self._title, self._read, self._messages = title, read, content.messages.therapist.client_screen
        self._pages, self._content = content.messages.therapist.pages, content
        self._entries: Sequence[HistoryEntry] = ()

    def compose(self) -> ComposeResult:
        """The head, the list, the chosen entry, the keys."""
        yield PageHead(self._title, self._pages.purpose["history"])
        with Container(id="split", classes="stacked"):
            with Vertical(id="listing"):
                yield LineList(id="list")
            with VerticalScroll(id="detail", can_focus=False):
                yield static_text(self._messages.working, id="page-text")
        yield static_text("", id="keys")

    def on_mount(self) -> None:
        """Read in a thread: what would have changed each decision takes a while."""
        self.run_worker(self._make, thread=True)

    def on_resize(self, _: Resize) -> None:
        """Lay the page out for the new width."""
        self.query_one("#split").set_class(is_wide(self), "wide")
        self.call_after_refresh(self._name_keys)

    def _name_keys(self) -> None:
        """The keys that have something to do: no other session to choose, and nothing below the window, is named."""
        keys, now, detail = self._messages.keys, self._pages.now, self.query_one("#detail", VerticalScroll)
        choose = [("up down", keys["choose"])] if len(self._entries) > 1 else []
        scroll = [(" ".join(DETAIL_KEYS), keys["scroll"])] if detail.max_scroll_y else []
        self.query_one("#keys", Static).update(key_bar([*choose, *scroll, ("esc", keys["back"])], self.size.width))
        has_older = self.query_one(LineList).at < len(self._entries) - 1
        self.query_one(PageHead).ask_for(*(("down", now["session"]) if has_older else ("esc", now["read"])))

    def on_key(self, event: Key) -> None:
        """Choose, scroll or go back."""
        if not takes(self, event):
            return
        if event.key in ("escape", "q"):
            self.dismiss()
        elif event.key in DETAIL_KEYS:
            scroll_by_key(self.query_one("#detail", VerticalScroll), DETAIL_KEYS[event.key])
        elif event.key in CHOOSING_KEYS:
            self.query_one(LineList).move(event.key)
            self._show()

    def _make(self) -> None:
        try:
            entries = self._read()
        except ReportUnavailable as error:
            self.app.call_from_thread(self._refuse, error)
        else:
            self.app.call_from_thread(self._put, entries)

    def _refuse(self, error: ReportUnavailable) -> None:
        """Show why there is no history, in place of this page."""
        if self.is_current:
            self.app.switch_screen(unavailable_screen(self._title, error, self._content))

    def _put(self, entries: Sequence[HistoryEntry]) -> None:
        self._entries = entries
        if self.is_attached:
            self.query_one(LineList).show([one.line for one in entries], 0, self._messages)
            self._show()

    def _show(self) -> None:
        if self._entries:
            entry = self._entries[self.query_one(LineList).at]
            first, *rest = entry.sentences
            quiet = [StyledText.styled(" ".join(entry.basis), "$secondary")] if entry.basis else []
            text = StyledText("\n\n").join([StyledText.styled(first, "bold"), *map(StyledText, rest), *quiet])
            self.query_one("#page-text", Static).update(text)
            self.query_one("#detail", VerticalScroll).scroll_home(animate=False)
            self.call_after_refresh(self._name_keys)

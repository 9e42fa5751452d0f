"""A report on a screen of its own, made in the background and scrolled by the arrow keys; its parts are a list."""

from collections.abc import Callable
from functools import partial
from itertools import accumulate, pairwise
from textwrap import wrap

from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.events import Key as KeyEvent
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.content import Content
from coach.model.messages.therapist import PageName
from coach.overview.text_columns import set_text_columns
from coach.screens.therapist.report_unavailable import ReportUnavailable
from coach.screens.widgets.line_list import LineList
from coach.screens.widgets.page_head import Key, PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import static_text, with_rules
from coach.screens.widgets.wide import is_wide

_MARGINS, _LIST = 4, 36  # columns beside a text, as in therapist.tcss
_TO_PART = {"tab": 1, "shift+tab": -1}


class TextScreen(Screen[None]):
    """Shows the text returned by `make_text`, and until then that it is being prepared.

    A heading is a line above one of dashes. Tab goes to the next one; in a wide window they are listed.
    """

    def __init__(self, title: str, page: PageName, make_text: Callable[[], str], content: Content) -> None:
        """`page` is what the page is called in the messages that say what each is for."""
        super().__init__()
        self._title, self._make_text, self._messages = title, make_text, content.messages.therapist.client_screen
        self._page, self._pages = page, content.messages.therapist.pages
        self._text = ""
        self._refused = False
        self._parts: tuple[tuple[int, str], ...] = ()

    def compose(self) -> ComposeResult:
        """The head, the parts as a list, the text, the keys."""
        yield PageHead(self._title, self._pages.purpose[self._page])
        with Container(id="split", classes="report"):
            yield LineList(id="list")
            yield VerticalScroll(static_text(self._messages.working, id="page-text"), id="page", can_focus=False)
        yield static_text("", id="keys")

    def on_mount(self) -> None:
        """Make the text in a thread: a simulation takes seconds."""
        self.run_worker(partial(self._make, self._columns), thread=True)

    def on_resize(self, _: Resize) -> None:
        """Lay the page out for the new width."""
        self._lay_out()

    def on_key(self, event: KeyEvent) -> None:
        """Scroll, go to another part, or go back."""
        if not takes(self, event):
            return
        if event.key in ("escape", "q"):
            self.dismiss()
        elif event.key in _TO_PART and self._parts:
            here, step = self.query_one(LineList).at, _TO_PART[event.key]
            self._go_to((here + step) % len(self._parts))
        elif scroll_by_key(self.query_one("#page", VerticalScroll), event.key):
            self._mark_part()

    @property
    def _columns(self) -> int:
        """The columns of the text, beside the list of its parts if there is room for it."""
        return self.size.width - _MARGINS - (_LIST if is_wide(self) else 0)

    def _go_to(self, part: int) -> None:
        self.query_one("#page", VerticalScroll).scroll_to(y=self._parts[part][0], animate=False)
        self.query_one(LineList).choose(part)

    def _mark_part(self) -> None:
        """Choose the part that the top of the window is in."""
        top = self.query_one("#page", VerticalScroll).scroll_target_y
        self.query_one(LineList).choose(max(sum(row <= top for row, _ in self._parts) - 1, 0))

    def _lay_out(self) -> None:
        parts = self.query_one(LineList)
        self._parts = parts_of(self._text, self._columns)
        parts.show([heading for _, heading in self._parts], parts.at, self._messages)
        parts.display = is_wide(self) and len(self._parts) > 1
        self.query_one("#split").set_class(is_wide(self), "wide")
        self.call_after_refresh(self._name_keys)
        now, head, has_parts = self._pages.now, self.query_one(PageHead), len(self._parts) > 1
        head.name_page(self._title, self._pages.purpose["unavailable" if self._refused else self._page])
        back = ("esc", now["put_right" if self._refused else "read"])
        head.ask_for(*(("tab", now["part"]) if has_parts else back))

    def _name_keys(self) -> None:
        """The keys that have something to do."""
        words, keys = self._messages.keys, list[Key]()
        if self.query_one("#page", VerticalScroll).max_scroll_y:
            keys.append(("up down", words["scroll"]))
        if len(self._parts) > 1:
            keys.append(("tab", words["part"]))
        self.query_one("#keys", Static).update(key_bar([*keys, ("esc", words["back"])], self.size.width))

    def _make(self, columns: int) -> None:
        set_text_columns(columns)
        try:
            text = self._make_text()
        except ReportUnavailable as error:
            self._refused, text = True, str(error)
        self.app.call_from_thread(partial(self._put, text))

    def _put(self, text: str) -> None:
        if self.is_attached:
            self._text = text.strip("\n")
            self.query_one("#page-text", Static).update(with_rules(self._text))
            self._lay_out()


def unavailable_screen(title: str, reason: ReportUnavailable, content: Content) -> TextScreen:
    """The page in place of one that cannot be shown: why, and what to do."""

    def refuse() -> str:
        raise reason

    return TextScreen(title, "unavailable", refuse, content)


def parts_of(text: str, columns: int) -> tuple[tuple[int, str], ...]:
    """The headings of a text with their rows in a window of so many columns: each is above a line of dashes."""
    lines = text.split("\n")
    rows = accumulate((max(len(wrap(line, max(columns, 1))), 1) for line in lines), initial=0)
    return tuple(
        (row, line.strip())
        for row, (line, below) in zip(rows, pairwise(lines), strict=False)
        if line.strip() and below.strip() == "-" * len(line.strip())
    )

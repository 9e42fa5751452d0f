"""The bodies of the session's screens: each draws one frozen page. No rule and no text of its own."""

from collections.abc import Iterator
from textwrap import wrap
from typing import cast

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from coach.drawing.large_letters import dot_columns_for, scale_for
from coach.drawing.letter_shapes import DOTS_HIGH
from coach.drawing.shapes import LabelName
from coach.model.layout_limits import EDGE_COLUMNS
from coach.screens.client.pages import Page, RestPage, SetPage, Shown
from coach.screens.widgets.bar import Bar
from coach.screens.widgets.big_text import BigText
from coach.screens.widgets.scene_view import Drawing
from coach.screens.widgets.scrolling import scrolled
from coach.screens.widgets.text import plain

# Below these a drawing goes under the text instead of beside it, and blank rows are left out.
_BESIDE_COLUMNS, _AIRY_ROWS = 72, 24
# Longer lines are hard to follow with the eye; common practice in typesetting, no source.
_LINE_COLUMNS = 76
_SCROLL_BAR = 1
# Rows of a set that are not large letters: title, the words below, cue, bar, and two rows of keys.
_OTHER_ROWS = 6


class PageView(Vertical):
    """A page to read or to answer. `more` is said where there is more below than the window shows."""

    def __init__(self, page: Page, note: str, more: str, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= _AIRY_ROWS else "tight")
        self._page = page
        self._note = note
        self._more = more
        self._columns = columns
        self._line_columns = min(_LINE_COLUMNS, columns - EDGE_COLUMNS - _SCROLL_BAR)

    def compose(self) -> ComposeResult:
        """The text in a column; a drawing beside it, or below it where the window is narrow."""
        page = self._page
        text = VerticalScroll(*self._texts(), id="column", can_focus=False)
        if page.scene is None:
            yield text
        else:
            words = cast("dict[LabelName, str]", dict(page.labels))
            beside = self._columns >= _BESIDE_COLUMNS
            columns = Horizontal if beside else Vertical
            yield columns(text, Drawing(page.scene, words), id="columns", classes="beside" if beside else "below")
        yield plain(self._more, id="more")

    def on_mount(self) -> None:
        """Whenever it is laid out it is known whether all of it is seen."""
        for column in self.query("#column").results(VerticalScroll):
            self.watch(column, "show_vertical_scrollbar", self._say_more)

    def scrolled(self, key: str) -> bool:
        """A line or a window up or down; whether the key is one of those that scroll."""
        return scrolled(self.query_one("#column", VerticalScroll), key)

    def _say_more(self, longer: bool) -> None:
        self.set_class(longer, "longer")

    def _texts(self) -> Iterator[Widget]:
        page = self._page
        if self._note:
            yield plain(self._note, "note")
        if page.alert:
            yield plain(page.alert, "alert")
        yield self._lead()
        if page.lines:  # one widget for all: a widget a line was a tenth of the time to the first screen
            yield plain(("\n" if self.has_class("tight") else "\n\n").join(page.lines), "line")
        if page.list_title:
            yield plain(page.list_title, "list-title")
        if page.listed:
            yield plain("\n".join(self._hanging("  · ", line) for line in page.listed), "listed")
        if page.choices:
            yield plain("\n".join(self._choice_lines()), "choices")

    def _lead(self) -> Widget:
        lead = self._page.lead
        dot_columns = dot_columns_for([lead], self._columns - EDGE_COLUMNS, DOTS_HIGH)
        if self._page.large and dot_columns:
            return BigText(lead, DOTS_HIGH, dot_columns, id="large")
        return plain(lead, "lead")

    def _choice_lines(self) -> Iterator[str]:
        """Answers in words one a line; a scale of numbers in one line, with its ends below."""
        page = self._page
        if not page.low:
            for shown in page.choices:
                yield self._hanging(f"{_mark(shown)} {shown.key}  ", shown.words)
            return
        yield "  ".join(f"{_mark(shown)}{_number(shown)}" for shown in page.choices)
        yield ""
        yield f" 0 = {page.low}"
        yield f"10 = {page.high}"

    def _hanging(self, first: str, text: str) -> str:
        """A text whose further lines stand below the beginning of the words."""
        return "\n".join(wrap(text, self._line_columns, initial_indent=first, subsequent_indent=" " * len(first)))


def _mark(shown: Shown) -> str:
    return ">" if shown.chosen else " "


def _number(shown: Shown) -> str:
    """A number of a scale, with its key where that is another."""
    return shown.words if shown.key == shown.words else f"{shown.words}({shown.key})"


class SetView(Vertical):
    """The set: phase word and count, repetition, one cue, the moving arm, a thin bar."""

    def __init__(self, page: SetPage, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= _AIRY_ROWS else "tight")
        self._page = page
        self._columns = columns - EDGE_COLUMNS
        self._rows = DOTS_HIGH * max(1, (rows - _OTHER_ROWS) // (2 * DOTS_HIGH))
        total = page.repetition.partition("/")[2]
        room = self._columns // 2
        self._of_total = dot_columns_for([f"{total}/{total}"], room, self._rows) > 0
        self._done_dots = max(1, dot_columns_for([f"{total}/{total}" if self._of_total else total], room, self._rows))

    def compose(self) -> ComposeResult:
        """Large above, the arm below."""
        page = self._page
        wide = max(1, dot_columns_for(page.widest, self._columns, self._rows))
        with Horizontal(id="word-row"):
            yield BigText(page.word, self._rows, wide, id="word")
            yield BigText(page.count, self._rows, wide, id="count")
        with Horizontal(id="moving"):
            with Vertical(id="done"):
                yield BigText(self._repetition(page), self._rows, self._done_dots, id="repetition")
                yield plain(page.repetition_words, id="repetition-words")
            yield Drawing(page.scene, {}, id="arm")
        cue = plain(page.cue, id="cue")
        cue.display = bool(page.cue)  # kept back, it leaves its row to the others
        yield cue
        yield Bar(page.part, id="part")

    def show(self, page: SetPage) -> None:
        """The next frame: only what changed is drawn."""
        if not self.is_mounted or not self.query("#part"):
            return
        self.query_one("#word", BigText).show(page.word)
        self.query_one("#count", BigText).show(page.count)
        self.query_one("#repetition", BigText).show(self._repetition(page))
        if page.repetition_words != self._page.repetition_words:
            self.query_one("#repetition-words", Static).update(page.repetition_words)
        if page.cue != self._page.cue:
            cue = self.query_one("#cue", Static)
            cue.update(page.cue)
            cue.display = bool(page.cue)
        self.query_one("#arm", Drawing).show(page.scene)
        self.query_one("#part", Bar).show(page.part)
        self._page = page

    def _repetition(self, page: SetPage) -> str:
        """The repetition of how many; the repetition alone where both together would take the arm's place."""
        return page.repetition if self._of_total else page.repetition.partition("/")[0]


def body_of(
    page: Page | SetPage | RestPage, note: str, more: str, columns: int, rows: int
) -> "PageView | SetView | RestView":
    """The body that draws a page in a window of so many columns and rows."""
    if isinstance(page, SetPage):
        return SetView(page, columns, rows)
    if isinstance(page, RestPage):
        return RestView(page, columns, rows)
    return PageView(page, note, more, columns, rows)


class RestView(Vertical):
    """The rest: the seconds left in large, and what comes next."""

    def __init__(self, page: RestPage, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= _AIRY_ROWS else "tight")
        self._page = page
        self._rows = DOTS_HIGH * scale_for(max(rows // 2, DOTS_HIGH))
        self._dot_columns = max(1, dot_columns_for(["000"], columns - EDGE_COLUMNS, self._rows))

    def compose(self) -> ComposeResult:
        """The countdown above the words."""
        yield BigText(self._page.left, self._rows, self._dot_columns, id="left")
        for line in self._page.lines:
            yield plain(line, "line")
        yield Bar(self._page.part, id="part")

    def says_as_much(self, page: RestPage) -> bool:
        """Whether the next frame has the same words, so that only the numbers change."""
        return page.lines == self._page.lines

    def show(self, page: RestPage) -> None:
        """The next frame."""
        if not self.is_mounted or not self.query("#part"):
            return
        self.query_one("#left", BigText).show(page.left)
        self.query_one("#part", Bar).show(page.part)
        self._page = page

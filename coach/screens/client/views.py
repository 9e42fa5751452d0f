"""The bodies of the session's screens: each draws one frozen page. No rule and no text of its own."""

from collections.abc import Iterator
from typing import cast

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from coach.drawing.glyphs import scale_for, width
from coach.drawing.letters import DOTS_HIGH
from coach.drawing.shapes import LabelName
from coach.screens.client.pages import Page, RestPage, SetPage
from coach.screens.widgets.bar import Bar
from coach.screens.widgets.big_text import BigText
from coach.screens.widgets.drawing import Drawing

# Below this the drawing goes under the text instead of beside it.
_BESIDE_COLUMNS = 72


def plain(text: str, classes: str = "", id: str | None = None) -> Static:
    """Text from a file, shown as text: nothing in it is read as markup."""
    return Static(text, markup=False, classes=classes, id=id)


class PageView(Vertical):
    """A page to read or to answer."""

    def __init__(self, page: Page, note: str, columns: int) -> None:
        super().__init__(id="body")
        self._page = page
        self._note = note
        self._columns = columns

    def compose(self) -> ComposeResult:
        """The text in a column; a drawing beside it, or below it where the window is narrow."""
        page = self._page
        if page.scene is None:
            yield VerticalScroll(*self._texts(), id="column", can_focus=False)
            return
        words = cast("dict[LabelName, str]", dict(page.labels))
        side_by_side = Horizontal if self._columns >= _BESIDE_COLUMNS else Vertical
        text = VerticalScroll(*self._texts(), id="column", can_focus=False)
        yield side_by_side(text, Drawing(page.scene, words), id="columns")

    def _texts(self) -> Iterator[Widget]:
        page = self._page
        if self._note:
            yield plain(self._note, "note")
        if page.alert:
            yield plain(page.alert, "alert")
        yield plain(page.lead, "lead")
        for line in page.lines:
            yield plain(line, "line")
        if page.list_title:
            yield plain(page.list_title, "list-title")
        for line in page.listed:
            yield plain(f"· {line}", "listed")
        if page.choices:
            yield plain("\n".join(self._choice_lines()), "choices")

    def _choice_lines(self) -> Iterator[str]:
        """Answers in words one a line; a scale of numbers in one line, with its ends below."""
        page = self._page
        if not page.low:
            for shown in page.choices:
                yield f"{'>' if shown.chosen else ' '} {shown.key}  {shown.words}"
            return
        cells = [f"{'>' if shown.chosen else ' '}{shown.words}" for shown in page.choices]
        keys = [
            f"{'x' if shown.key == 'x' else shown.key:>{len(cell)}}"
            for shown, cell in zip(page.choices, cells, strict=True)
        ]
        yield "   ".join(cells)
        if any(shown.key != shown.words for shown in page.choices):
            yield "   ".join(keys)
        yield f" 0 = {page.low}, 10 = {page.high}"


class SetView(Vertical):
    """The set: phase word and count, repetition, one cue, the moving arm, a thin bar."""

    def __init__(self, page: SetPage, words: tuple[str, ...], columns: int, rows: int) -> None:
        super().__init__(id="body")
        self._page = page
        self._rows = _rows_for([f"{word} 00" for word in words], columns - 4, rows // 2 - 3)

    def compose(self) -> ComposeResult:
        """Large above, the arm below."""
        page = self._page
        with Horizontal(id="word-row"):
            yield BigText(page.word, self._rows, id="word")
            yield BigText(page.count, self._rows, id="count")
        with Horizontal(id="moving"):
            with Vertical(id="column"):
                yield BigText(page.repetition, DOTS_HIGH, id="repetition")
                yield plain(page.repetition_words, id="repetition-words")
            yield Drawing(page.scene, {}, id="arm")
        yield plain(page.cue, id="cue")
        yield Bar(page.part, id="part")

    def show(self, page: SetPage) -> None:
        """The next frame: only what changed is drawn."""
        if not self.is_mounted or not self.query("#part"):
            return
        self.query_one("#word", BigText).show(page.word)
        self.query_one("#count", BigText).show(page.count)
        self.query_one("#repetition", BigText).show(page.repetition)
        if page.repetition_words != self._page.repetition_words:
            self.query_one("#repetition-words", Static).update(page.repetition_words)
        self.query_one("#arm", Drawing).show(page.scene)
        self.query_one("#part", Bar).show(page.part)
        self._page = page


class RestView(Vertical):
    """The rest: the seconds left in large, and what comes next."""

    def __init__(self, page: RestPage, columns: int, rows: int) -> None:
        super().__init__(id="body")
        self._page = page
        self._rows = _rows_for(["000"], columns - 4, rows // 2)

    def compose(self) -> ComposeResult:
        """The countdown above the words."""
        yield BigText(self._page.left, self._rows, id="left")
        for line in self._page.lines:
            yield plain(line, "line")
        yield Bar(self._page.part, id="part")

    def show(self, page: RestPage) -> None:
        """The next frame."""
        if not self.is_mounted or not self.query("#part"):
            return
        self.query_one("#left", BigText).show(page.left)
        self.query_one("#part", Bar).show(page.part)
        self._page = page


def _rows_for(texts: list[str], columns: int, rows: int) -> int:
    """The largest whole scale at which every text fits; never below the least."""
    scales = range(scale_for(max(rows, DOTS_HIGH)), 1, -1)
    fits = (scale for scale in scales if all(width(text, scale) <= columns for text in texts))
    return DOTS_HIGH * next(fits, 1)

"""The widgets that draw the pages of the session. All text comes from the page."""

from collections.abc import Iterator
from textwrap import wrap
from typing import cast

from textual.app import ComposeResult
from textual.containers import Container, Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from coach.drawing.block_lines import block_lines
from coach.drawing.large_letters import dot_columns_for, large_text, scale_for
from coach.drawing.letter_shapes import DOTS_HIGH
from coach.drawing.shapes import LabelName
from coach.model.messages.layout_limits import EDGE_COLUMNS
from coach.screens.client.page_types import AnswerOption, LessonPage, RestPage, ScreenPage, SetPage, TextPage
from coach.screens.widgets.bar import Bar
from coach.screens.widgets.big_text import BigText
from coach.screens.widgets.scene_view import SceneView
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import clickable, static_text

# In narrower windows a drawing goes below the text instead of beside it; in lower ones blank rows are left out.
_BESIDE_COLUMNS, _AIRY_ROWS = 72, 24
_BESIDE_TEXT = 44  # as session.tcss has it
# Longer lines are hard to read: common practice in typesetting, no source.
_LINE_COLUMNS = 76
_SCROLL_BAR = 1
# Rows of a page that are not its body: its title, two rows of keys, and one to see that there is more.
_OTHER_ROWS_OF_PAGE = 4
# Rows of a rest without its countdown, its cue and its text: title, bar, and two rows of keys.
_OTHER_ROWS_OF_REST = 4
_GAP_ROWS_OF_REST = 2  # above the cue and the bar
# Rows of a set without large letters: title, the text below them, cue, bar, and two rows of keys.
_OTHER_ROWS = 6


class PageView(Vertical):
    """A page to read or to answer. `more` is the line shown when the text continues below the window."""

    def __init__(self, page: TextPage, note: str, more: str, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= _AIRY_ROWS else "tight")
        self._page = page
        self._note = note
        self._more = more
        self._columns = columns
        self._rows = rows - _OTHER_ROWS_OF_PAGE
        self._beside = page.scene is not None and columns >= _BESIDE_COLUMNS
        room = min(columns // 2, _BESIDE_TEXT + EDGE_COLUMNS) if self._beside else columns
        self._line_columns = min(_LINE_COLUMNS, room - EDGE_COLUMNS - _SCROLL_BAR)

    def compose(self) -> ComposeResult:
        """The text in a column; a drawing beside it, or below it where the window is narrow."""
        page = self._page
        text = VerticalScroll(*self._texts(), id="column", can_focus=False)
        if page.scene is None:
            yield text
        else:
            labels = cast("dict[LabelName, str]", dict(page.labels))
            columns, classes = (Horizontal, "beside") if self._beside else (Vertical, "below")
            yield columns(text, SceneView(page.scene, labels), id="columns", classes=classes)
        yield static_text(self._more, id="more")

    def on_mount(self) -> None:
        """Show or hide the line that there is more, whenever the layout changes."""
        for column in self.query("#column").results(VerticalScroll):
            self.watch(column, "show_vertical_scrollbar", self._show_more)

    def scroll_by_key(self, key: str) -> bool:
        """Scroll by a line or a window; return whether the key did.

        A page that has just been put on the screen has no column yet: the key was pressed for the page before it.
        """
        return any(scroll_by_key(column, key) for column in self.query("#column").results(VerticalScroll))

    def _show_more(self, continues: bool) -> None:
        self.set_class(continues, "longer")

    def _texts(self) -> Iterator[Widget]:
        page = self._page
        if page.alert:  # before everything else, for it may be an emergency
            yield static_text(page.alert, "alert")
        if self._note:
            yield static_text(self._note, "note")
        blocks = self._blocks() if page.at_mark and not page.alert else None
        if blocks is not None:
            yield static_text("\n".join(blocks), "blocks", id="blocks")
        elif page.banner:
            yield from self._large(page.banner, "banner")
        if page.large:
            yield from self._large(page.lead, "large")
        elif blocks is None:
            yield static_text(page.lead, "lead")
        if page.lines:  # one widget for all: one a line took a tenth of the time to the first screen
            yield static_text(("\n" if self.has_class("tight") else "\n\n").join(page.lines), "line")
        if page.choices and blocks is not None:  # below the large letters there may be no room for all that is listed
            yield self._choices()
        if page.list_title:
            yield static_text(page.list_title, "list-title")
        if page.listed:
            yield static_text("\n".join(self._hanging("  · ", line) for line in page.listed), "listed")
        if page.choices and blocks is None:
            yield self._choices()

    def _blocks(self) -> tuple[str, ...] | None:
        """Banner, question and answers to be read from the mark; the question alone where no more fits, or None."""
        question = [*([[self._page.banner]] if self._page.banner else []), self._page.lead.split()]
        return self._drawn([*question, self._large_answers()]) or self._drawn(question)

    def _large_answers(self) -> list[str]:
        if self._page.low:
            return [option.text for option in self._page.choices]
        return [f"{option.key}: {_short(option)}" for option in self._page.choices]

    def _drawn(self, parts: list[list[str]]) -> tuple[str, ...] | None:
        return block_lines(parts, self._columns - EDGE_COLUMNS - _SCROLL_BAR, self._rows)

    def _large(self, word: str, name: str) -> Iterator[Widget]:
        """A word to be read from a distance, or as text where the window is too narrow for large letters."""
        dot_columns = dot_columns_for([word], self._columns - EDGE_COLUMNS, DOTS_HIGH)
        yield BigText(word, DOTS_HIGH, dot_columns, id=name) if dot_columns else static_text(word, "lead")

    def _choices(self) -> Widget:
        """Answers in words on a line each; a scale of numbers on one line, with the names of its ends below."""
        page = self._page
        if page.low:
            parts = [f"{_mark(option)}{option.text}" for option in page.choices]
            text = "\n".join(("  ".join(parts), "", f" 0 = {page.low}", f"10 = {page.high}"))
        else:
            parts = [self._hanging(f"{_mark(option)} {option.key}  ", option.text) for option in page.choices]
            text = "\n".join(parts)
        keys = [option.key for option in page.choices]
        return static_text(clickable(text, list(zip(parts, keys, strict=True))), "choices")

    def _hanging(self, first: str, text: str) -> str:
        """Wrap a text with a hanging indent as wide as `first`."""
        return "\n".join(wrap(text, self._line_columns, initial_indent=first, subsequent_indent=" " * len(first)))


def _short(option: AnswerOption) -> str:
    """The answer without what follows its first comma, which the small letters below have."""
    return option.text.partition(",")[0]


def _mark(option: AnswerOption) -> str:
    return ">" if option.chosen else " "


class LessonView(Vertical):
    """The right form beside one fault, both moving, and what to look for."""

    def __init__(self, page: LessonPage, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= _AIRY_ROWS else "tight")
        self._page = page

    def compose(self) -> ComposeResult:
        """The sentence, the drawings side by side under their names, and how to tell."""
        page = self._page
        yield static_text(page.lead, "lead")
        with Horizontal(id="lesson"):
            with Vertical():
                yield static_text(page.right, "list-title")
                yield SceneView(page.right_scene, {}, id="right")
            if page.wrong_scene is not None:
                with Vertical():
                    yield static_text(page.wrong, "list-title")
                    yield SceneView(page.wrong_scene, {}, id="wrong")
        yield static_text("\n".join(page.lines), "line")

    def show(self, page: LessonPage) -> None:
        """Show the next frame."""
        if not self.is_mounted or not self.query("#right"):
            return
        self.query_one("#right", SceneView).show(page.right_scene)
        if page.wrong_scene is not None:
            self.query_one("#wrong", SceneView).show(page.wrong_scene)
        self._page = page

    def same_text(self, page: LessonPage) -> bool:
        """Whether only the drawings differ in the next frame."""
        return (page.title, page.lead) == (self._page.title, self._page.lead)


class SetView(Vertical):
    """A set: phase word and count, repetition, one cue, the moving arm, and a progress bar."""

    def __init__(self, page: SetPage, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= _AIRY_ROWS else "tight")
        self._page = page
        self._columns = columns - EDGE_COLUMNS
        self._rows = DOTS_HIGH * max(1, (rows - _OTHER_ROWS) // (2 * DOTS_HIGH))
        self._rows_left = rows - _OTHER_ROWS - self._rows
        total = page.repetition.partition("/")[2]
        room = self._columns // 2
        self._of_total = dot_columns_for([f"{total}/{total}"], room, self._rows) > 0
        self._done_dots = max(1, dot_columns_for([f"{total}/{total}" if self._of_total else total], room, self._rows))

    def compose(self) -> ComposeResult:
        """The phase word and count above, the repetition and the arm below."""
        page = self._page
        wide = max(1, dot_columns_for(page.widest, self._columns, self._rows))
        with Horizontal(id="word-row"):
            yield BigText(page.word, self._rows, wide, id="word")
            yield BigText(page.count, self._rows, wide, id="count")
        with Horizontal(id="moving"):
            with Vertical(id="done"):
                yield BigText(self._repetition(page), self._rows, self._done_dots, id="repetition")
                yield static_text(page.repetition_words, id="repetition-words")
            yield SceneView(page.scene, {}, id="arm")
        yield static_text("", "blocks", id="large-cue")
        yield static_text(page.cue, id="cue")
        yield Bar(page.part, id="part")

    def on_mount(self) -> None:
        """Show the cue in the letters for which there is room now."""
        self._show_cue(self._page)

    def _show_cue(self, page: SetPage) -> None:
        """While nothing moves yet the cue takes the place of the arm; later it has a row, if there is one."""
        large = self._blocks(page)
        self.query_one("#large-cue", Static).update("\n".join(large))
        self.query_one("#large-cue").display = bool(large)
        self.query_one("#moving").display = not large
        self.query_one("#cue", Static).update(page.cue)
        self.query_one("#cue").display = bool(page.cue) and not large

    def _blocks(self, page: SetPage) -> tuple[str, ...]:
        if not page.counting_in or not page.cue:
            return ()
        return block_lines([page.cue.split()], self._columns, self._rows_left) or ()

    def show(self, page: SetPage) -> None:
        """Show the next frame; only what changed is drawn."""
        if not self.is_mounted or not self.query("#part"):
            return
        if (page.cue, page.counting_in) != (self._page.cue, self._page.counting_in):
            self._show_cue(page)
        self.query_one("#word", BigText).show(page.word)
        self.query_one("#count", BigText).show(page.count)
        self.query_one("#repetition", BigText).show(self._repetition(page))
        if page.repetition_words != self._page.repetition_words:
            self.query_one("#repetition-words", Static).update(page.repetition_words)
        self.query_one("#arm", SceneView).show(page.scene)
        self.query_one("#part", Bar).show(page.part)
        self._page = page

    def _repetition(self, page: SetPage) -> str:
        """The repetition of the total; the repetition alone if both together would leave no room for the arm."""
        return page.repetition if self._of_total else page.repetition.partition("/")[0]


def make_body(
    page: ScreenPage, note: str, more: str, columns: int, rows: int
) -> "PageView | LessonView | SetView | RestView":
    """Make the widget that draws a page in a window of so many columns and rows."""
    if isinstance(page, SetPage):
        return SetView(page, columns, rows)
    if isinstance(page, RestPage):
        return RestView(page, columns, rows)
    if isinstance(page, LessonPage):
        return LessonView(page, rows)
    return PageView(page, note, more, columns, rows)


class RestView(Vertical):
    """A rest: the seconds left in large digits, beside them the last set and the next one, then the next cue."""

    def __init__(self, page: RestPage, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= _AIRY_ROWS else "tight")
        self._page = page
        self._rows = DOTS_HIGH * scale_for(max(rows // 2, DOTS_HIGH))
        self._dot_columns = max(1, dot_columns_for(["000"], columns - EDGE_COLUMNS, self._rows))
        self._beside = columns >= _BESIDE_COLUMNS
        digits = len(large_text("000", self._rows, self._dot_columns)[0]) + EDGE_COLUMNS if self._beside else 0
        room = min(_LINE_COLUMNS, columns - EDGE_COLUMNS - digits)
        others = [line for line in page.lines if not page.cue or page.cue not in line]
        used = [sum(len(wrap(line, room)) for line in (page.done, *lines)) for lines in (page.lines, others)]
        heights = [max(self._rows, rows_used) if self._beside else self._rows + rows_used for rows_used in used]
        left = rows - _OTHER_ROWS_OF_REST - heights[1] - _GAP_ROWS_OF_REST
        self._cue = block_lines([page.cue.split()], columns - EDGE_COLUMNS, left) if page.cue else None
        self._lines = page.lines if self._cue is None else tuple(others)  # a cue in large letters is not said twice
        self.set_class(self._cue is not None or rows < _AIRY_ROWS, "tight")
        self.set_class(self._beside, "beside")

    def compose(self) -> ComposeResult:
        """The countdown and the text, the cue, the bar."""
        with Container(id="rest-row"):
            yield BigText(self._page.left, self._rows, self._dot_columns, id="left")
            with Vertical(id="rest-text"):
                if self._page.done:
                    yield static_text(self._page.done, "lead")
                for line in self._lines:
                    yield static_text(line, "line")
        if self._cue is not None:
            yield static_text("\n".join(self._cue), "blocks", id="large-cue")
        yield Bar(self._page.part, id="part")

    def same_text(self, page: RestPage) -> bool:
        """Whether only the numbers differ in the next frame."""
        return (page.lines, page.cue) == (self._page.lines, self._page.cue)

    def show(self, page: RestPage) -> None:
        """Show the next frame."""
        if not self.is_mounted or not self.query("#part"):
            return
        self.query_one("#left", BigText).show(page.left)
        self.query_one("#part", Bar).show(page.part)
        self._page = page

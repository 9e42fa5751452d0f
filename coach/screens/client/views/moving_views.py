"""The widgets that draw lessons, sets and rests."""

from collections.abc import Iterable
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Container, Horizontal, Vertical, VerticalScroll
from textual.events import Resize
from textual.widgets import Static

from coach.drawing.block_lines import block_lines
from coach.drawing.large_letters import dot_columns_for, scale_for, width_in_dots
from coach.drawing.letter_shapes import DOTS_HIGH
from coach.model.messages.layout_limits import EDGE_COLUMNS
from coach.screens.client.page_types import LessonPage, MoreLines, RestPage, SetPage
from coach.screens.client.views.page_parts import drawing_with_title, now_text
from coach.screens.client.views.page_view import AIRY_ROWS, LINE_COLUMNS
from coach.screens.widgets.bar import Bar, Dots
from coach.screens.widgets.big_text import BigText
from coach.screens.widgets.scene_view import SceneView
from coach.screens.widgets.scrolling import ScrolledPage
from coach.screens.widgets.text import static_text

# Rows of a rest without its countdown, its cue and its text: title, bar, what is to be done, and two rows of keys.
_OTHER_ROWS_OF_REST = 5
_BESIDE_COLUMNS = 26  # where fewer are left beside the countdown, the text is below it
_GAP = 2  # columns before the text, as in the style below
_BLANK_ROWS_OF_LARGE = 2  # above its head and above itself
_BLANK_ROWS_OF_REST = 3  # above the countdown, the bar and what is to be done, besides one above each line
# Below the large letters of a set: what the count is of, what the repetition is, cue and dots.
_SMALL_ROWS_OF_SET = 4
# In lower windows the drawings of a lesson need the rows, and the end of its text is scrolled to.
_LONG_LESSON_ROWS = 30
_DOWN, _UP, _OPENED_ROWS = ("down", "pagedown"), ("up", "pageup"), 6
# Rows of a set without large letters: title, the text below them, cue, dots, and two rows of keys.
_OTHER_ROWS = 6


class LessonView(ScrolledPage):
    """The right form beside one fault, both moving, and what to look for."""

    DEFAULT_CSS = """
#lesson { height: 1fr; min-height: 6; }
#right { margin-right: 2; }
"""

    def __init__(self, page: LessonPage, more: MoreLines, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= AIRY_ROWS else "tight")
        self.set_class(rows < _LONG_LESSON_ROWS, "short")
        self._page = page
        self.more_lines = more
        self._first_rows = len(wrap(page.lines[0], columns - EDGE_COLUMNS)) if page.lines else 0

    def compose(self) -> ComposeResult:
        """The sentence, the drawings side by side under their names, how to tell, and what is to be done."""
        page = self._page
        yield static_text(page.lead, "lead")
        with Horizontal(id="lesson"):
            yield drawing_with_title(page.right, "right")
            if page.wrong is not None:
                yield drawing_with_title(page.wrong, "wrong")
        column = VerticalScroll(static_text("\n".join(page.lines), "line"), id="column", can_focus=False)
        if self.has_class("short"):
            column.styles.max_height = self._first_rows
        yield column
        yield static_text("", id="more")
        if page.now is not None:
            yield now_text(page.now)

    def scroll_by_key(self, key: str) -> bool:
        """Scroll; in a low window the first key down gives the text below its first line the rows it needs.

        At its beginning a key up gives them back to the drawings.
        """
        column = next(iter(self.query("#column").results(VerticalScroll)), None)
        if column is not None and self.has_class("short"):
            opened = self.has_class("opened")
            if key in (_UP if opened else _DOWN) and not column.scroll_y:
                column.styles.max_height = self._first_rows if opened else _OPENED_ROWS
                self.set_class(not opened, "opened")
                return True
        return super().scroll_by_key(key)

    def show(self, page: LessonPage) -> None:
        """Show the next frame."""
        if not self.is_mounted or not self.query("#right"):
            return
        self.query_one("#right", SceneView).show(page.right.scene)
        if page.wrong is not None:
            self.query_one("#wrong", SceneView).show(page.wrong.scene)
        self._page = page

    def same_text(self, page: LessonPage) -> bool:
        """Whether only the drawings differ in the next frame."""
        return (page.title, page.lead) == (self._page.title, self._page.lead)


def _about_cue(page: SetPage) -> tuple[str, bool, bool]:
    return page.cue, page.counting_in, page.cue_due


class SetView(Vertical):
    """A set: phase word and count, repetition, one cue, the moving arm, and a dot for each repetition."""

    SCOPED_CSS: ClassVar[bool] = False
    DEFAULT_CSS = """
#word-row { height: auto; margin-top: 1; }
.tight #word-row { margin-top: 0; }
#count { dock: right; }
#of-count { height: 1; width: 100%; text-align: right; color: $secondary; }
#seen { height: 1; margin-left: 2; color: $secondary; }
.tight #seen { display: none; }
#arm-column { width: 1fr; height: 1fr; }
#middle { height: 1fr; layers: under over; }
#moving { height: 100%; layer: under; }
#moving SceneView { margin-left: 2; }
#done { width: auto; height: auto; }
#repetition-words { height: 1; width: auto; }
#cue { height: 1; text-style: bold; }
"""

    def __init__(self, page: SetPage, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= AIRY_ROWS else "tight")
        self._page = page
        self._columns = columns - EDGE_COLUMNS
        self._rows = DOTS_HIGH * max(1, (rows - _OTHER_ROWS) // (2 * DOTS_HIGH))
        self._rows_left = rows - _OTHER_ROWS - self._rows
        total = page.repetition.partition("/")[2]
        room = self._columns // 2
        self._of_total = dot_columns_for([f"{total}/{total}"], room, self._rows) > 0
        self._done_dots = max(1, dot_columns_for([f"{total}/{total}" if self._of_total else total], room, self._rows))
        # Kept, as looking them up by name took a fifth of a frame.
        wide = self._dot_columns(page)
        self._word = BigText(page.word, self._rows, wide, id="word")
        self._count = BigText(page.count, self._rows, wide, id="count")
        self._large = BigText(self._repetition(page), self._rows, self._done_dots, id="repetition")
        self._arm = SceneView(page.scene, {"line": page.line}, id="arm")
        self._dots = Dots(page.done, page.repetitions, id="dots")

    def compose(self) -> ComposeResult:
        """The phase word and count above, the repetition and the arm below."""
        page = self._page
        with Horizontal(id="word-row"):
            yield self._word
            yield self._count
        yield static_text(page.of_count, id="of-count")
        with Container(id="middle"):
            with Horizontal(id="moving"):
                with Vertical(id="done"):
                    yield self._large
                    yield static_text(self._about_repetition(page), id="repetition-words")
                with Vertical(id="arm-column"):
                    yield self._arm
                    yield static_text(page.seen, id="seen")
            yield static_text("", "blocks", id="large-cue")
        yield static_text(page.cue, id="cue")
        yield static_text(page.now.before if page.now is not None else "", id="set-now")
        yield self._dots

    def on_mount(self) -> None:
        """Show the cue in the letters for which there is room now."""
        self._show_cue(self._page)

    def on_resize(self, event: Resize) -> None:
        """Say what the count is of where there is a row for it: that depends on how many rows the keys take."""
        self.query_one("#of-count").display = event.size.height >= 2 * self._rows + _SMALL_ROWS_OF_SET

    def _show_cue(self, page: SetPage) -> None:
        """While nothing moves yet the cue lies over the arm; later it has a row, if there is one.

        What is to be done now takes the row of the dots, of which none can change yet.
        """
        large = self._blocks(page)
        self.query_one("#large-cue", Static).update("\n".join(large))
        self.query_one("#large-cue").display = bool(large)
        self.query_one("#set-now").display = page.now is not None
        self._dots.display = page.now is None
        self.query_one("#cue", Static).update("" if large else page.cue)
        self.query_one("#cue").display = bool(page.cue)
        self.query_one("#cue").visible = page.cue_due  # its row is kept, so that nothing moves

    def _blocks(self, page: SetPage) -> tuple[str, ...]:
        if not page.counting_in or not page.cue:
            return ()
        return block_lines([page.cue.split()], self._columns, self._rows_left) or ()

    def show(self, page: SetPage) -> None:
        """Show the next frame; only what changed is drawn."""
        if not self.is_mounted or not self._dots.is_attached:
            return
        if _about_cue(page) != _about_cue(self._page):
            self._show_cue(page)
        wide = self._dot_columns(page)
        self._word.show(page.word, wide)
        self._count.show(page.count, wide)
        if page.of_count != self._page.of_count:
            self.query_one("#of-count", Static).update(page.of_count)
        self._large.show(self._repetition(page))
        if self._about_repetition(page) != self._about_repetition(self._page):
            self.query_one("#repetition-words", Static).update(self._about_repetition(page))
        self._arm.show(page.scene)
        if page.ahead is not None:
            self._arm.draw_ahead(page.ahead, page.ahead_part)
        self._dots.show(page.done)
        self._page = page

    def _dot_columns(self, page: SetPage) -> int:
        return max(1, dot_columns_for(page.alike, self._columns, self._rows))

    def _about_repetition(self, page: SetPage) -> str:
        """What the large number is; where it is without their total, the words that say both."""
        return page.of_large_number if page.of_large_number and self._of_total else page.repetition_words

    def _repetition(self, page: SetPage) -> str:
        """The repetition of the total; the repetition alone if both together would leave no room for the arm."""
        return page.repetition if self._of_total else page.repetition.partition("/")[0]


class RestView(Vertical):
    """A rest: the seconds left in large digits, beside them the sets; then what changes, or the next cue."""

    SCOPED_CSS: ClassVar[bool] = False
    DEFAULT_CSS = """
#rest-row { height: auto; }
.beside #rest-row { layout: horizontal; }
#rest-text { height: auto; width: 1fr; }
.beside #rest-text { padding-left: 2; }
#rest-word { margin-top: 1; }
.tight #rest-word { margin-top: 0; }
#countdown { width: auto; height: auto; layout: horizontal; }
.beside #countdown { layout: vertical; }
#counted { width: auto; height: auto; }
#of-left { height: 1; width: auto; margin-left: 2; color: $secondary; }
.beside #of-left { margin-left: 0; }
RestView > #now { dock: bottom; }
"""

    def __init__(self, page: RestPage, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= AIRY_ROWS else "tight")
        self._page = page
        self._rows = DOTS_HIGH * scale_for(max(rows // 2, DOTS_HIGH))
        counted = f"{page.word} {page.left}"
        whole = columns - EDGE_COLUMNS
        # Where there are rows for letters of twice their least height, there are rows for the text below them too.
        half = whole - _GAP - _BESIDE_COLUMNS if self._rows == DOTS_HIGH else 0
        beside = dot_columns_for([counted], half, self._rows)
        self._beside = beside > 0
        self._dot_columns = beside or max(1, dot_columns_for([counted], whole, self._rows))
        digits = width_in_dots(counted) * self._dot_columns + _GAP
        room = min(LINE_COLUMNS, whole - (digits if self._beside else 0))
        others = [line for line in page.lines if line != page.instead_of]
        done = [page.done] if page.done else []
        head = len(wrap(page.large_head, min(LINE_COLUMNS, whole)))
        height = self._text_rows((*done, *others), room)
        left = rows - _OTHER_ROWS_OF_REST - height - head
        self._large = block_lines([page.large.split()], whole, left) if page.large else None
        self._change = page.change if self._large is None else ""  # else it stands above the large letters
        if self._large is None:
            height = self._text_rows((self._change, *done, *others), room)
        self._lines = page.lines if self._large is None else tuple(others)
        blank = bool(self._change) + len(done) + len(self._lines) + _BLANK_ROWS_OF_REST
        large = len(self._large) + head if self._large is not None else 0
        spare = rows - _OTHER_ROWS_OF_REST - height - large
        tight = rows < AIRY_ROWS or spare < blank + bool(large) * _BLANK_ROWS_OF_LARGE
        self.set_class(tight, "tight")
        self.set_class(tight and spare > 0, "apart")  # a row between the countdown and the cue
        self.set_class(tight and spare > _BLANK_ROWS_OF_LARGE, "framed")  # and one above the cue and one below it
        self.set_class(self._beside, "beside")

    def compose(self) -> ComposeResult:
        """The countdown and the text, the large letters, the bar, and what is to be done."""
        with Container(id="rest-row"):
            with Vertical(id="countdown"):
                with Horizontal(id="counted"):
                    yield BigText(f"{self._page.word} ", self._rows, self._dot_columns, id="rest-word")
                    yield BigText(self._page.left, self._rows, self._dot_columns, id="left")
                yield static_text(self._page.of_left, id="of-left")
            with Vertical(id="rest-text"):
                if self._change:
                    yield static_text(self._change, "lead")
                if self._page.done:
                    yield static_text(self._page.done, "line" if self._page.change else "lead")
                first = not self._page.change and not self._page.done
                for number, line in enumerate(self._lines):
                    yield static_text(line, "lead" if first and not number else "line")
        if self._large is not None:
            yield static_text(self._page.large_head, "lead" if self._page.change else "list-title", id="cue-head")
            yield static_text("\n".join(self._large), "blocks", id="large-cue")
        yield Bar(self._page.part, id="part")
        if self._page.now is not None:
            yield now_text(self._page.now)

    def _text_rows(self, lines: Iterable[str], columns: int) -> int:
        """The rows of the countdown and of lines beside or below it."""
        rows = sum(len(wrap(line, columns)) for line in lines)
        return max(self._rows + 1, rows) if self._beside else self._rows + rows

    def same_text(self, page: RestPage) -> bool:
        """Whether only the numbers differ in the next frame."""
        return (page.lines, page.large, page.done, page.change, page.now) == (
            self._page.lines,
            self._page.large,
            self._page.done,
            self._page.change,
            self._page.now,
        )

    def show(self, page: RestPage) -> None:
        """Show the next frame."""
        if not self.is_mounted or not self.query("#part"):
            return
        self.query_one("#left", BigText).show(page.left)
        self.query_one("#part", Bar).show(page.part)
        self._page = page

"""The widget that draws a page to read or to answer. All text comes from the page.

Figures are loaded by the first page that has one: the first page of a session has none.
"""

from collections.abc import Iterator
from functools import cached_property
from textwrap import wrap

from msgspec import Struct
from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget

from coach.drawing.block_lines import ROWS_A_LINE, block_lines
from coach.drawing.large_letters import dot_columns_for
from coach.drawing.letter_shapes import DOTS_HIGH
from coach.model.messages.layout_limits import EDGE_COLUMNS
from coach.screens.client.page_types import AnswerOption, MoreLines, TextPage
from coach.screens.client.views.page_parts import drawing_with_title, in_columns, now_text, titled_list
from coach.screens.widgets.scrolling import ScrolledPage
from coach.screens.widgets.text import (
    clickable,
    clickable_places,
    hanging,
    in_bold,
    static_text,
    with_key_caps,
)

AIRY_ROWS = 24  # in lower windows blank rows are left out
# From this width on a page without a drawing stands in the middle.
_CENTRED_COLUMNS = 100
_BESIDE_TEXT = 44  # as session.tcss has it
# Longer lines are hard to read: common practice in typesetting, no source.
LINE_COLUMNS = 76
_SCROLL_BAR = 1
# Rows of a page that are not its body: its title, two rows of keys, and one to see that there is more.
_OTHER_ROWS_OF_PAGE = 4
_OTHER_ROWS_IN_VIEW = 3  # where all of it is to be seen: title and two rows of keys
# Of a page asked at the mark: its title, its keys, which fit on one row there, and one to see that there is more.
_OTHER_ROWS_AT_MARK, _MORE_ROW = 2, 1
# A fault is drawn beside what is listed only where it gets so many rows, its title with them.
_LEAST_FAULT_ROWS, _BELOW_BLOCKS = 9, 2
_AIR_ROWS = 8  # that a page leaves free which is a list alone, before there are blank rows in the list
_NOW_ROWS = 3  # with two blank rows above; answers have two as well, where they are in the middle of the page
_FACT_ROWS = ROWS_A_LINE + 2  # with what it is about, and a blank row above


class LargeLetters(Struct, frozen=True):
    """What is drawn large of a page that is asked at the mark, in rows of cells: the question, and what else.

    `spare`: rows that are left free in the window. `clicked`: the row, the columns and the key of each answer.
    """

    rows: tuple[str, ...]
    spare: int
    clicked: tuple[tuple[int, int, int, str], ...] = ()
    has_banner: bool = False


class PageView(ScrolledPage):
    """A page to read or to answer. `more`: what is said where the text is longer than the window."""

    def __init__(self, page: TextPage, note: str, more: MoreLines, columns: int, rows: int) -> None:
        super().__init__(id="body", classes="" if rows >= AIRY_ROWS else "tight")
        self._page = page
        self._note = note
        self._columns = columns
        self._all_rows, self._rows = rows, rows - _OTHER_ROWS_OF_PAGE
        wide = columns >= _CENTRED_COLUMNS
        self._drawing = None if page.drawing_if_wide and not wide else page.drawing
        room = columns if self._drawing is None else min(columns // 2, _BESIDE_TEXT + EDGE_COLUMNS)
        self._line_columns = max(1, min(LINE_COLUMNS, room - EDGE_COLUMNS - _SCROLL_BAR))  # 1: dragged shut
        if page.steps:
            self._page = _numbered(page, self._line_columns)
        longer = page.steps and self._rows_of_steps() > self._rows
        first = page.more_steps if longer else page.more
        self.more_lines = more._replace(below=first) if first else more
        self._facts = self._drawn_facts()
        in_view = self._rows_in_view() <= self._all_rows - _OTHER_ROWS_IN_VIEW
        self.set_class(self._drawing is None and not page.at_mark and (wide or in_view), "centred")
        if page.heads and not in_view:
            self.add_class("tight")
        spare = 0 if self.large is None or page.listed or page.before else self.large.spare
        self.set_class(spare >= _AIR_ROWS, "middle")
        # Where all of the page is in the window, what is to be done is said at its end, else below the window.
        self._now_in_text = self.has_class("centred") and in_view
        if page.now is not None and not self._now_in_text and not self._has_room_for_now:
            self.more_lines = self.more_lines._replace(below=page.now.before_more(self.more_lines.below, room))

    def compose(self) -> ComposeResult:
        """The text in a column and a drawing beside it, and what is to be done now."""
        text = VerticalScroll(*self._texts(), id="column", can_focus=False)
        yield text if self._drawing is None else Horizontal(text, drawing_with_title(self._drawing), id="columns")
        yield static_text("", id="more")
        if self._page.now is not None and not self._now_in_text and self._has_room_for_now:
            yield now_text(self._page.now)

    def _texts(self) -> Iterator[Widget]:
        page = self._page
        if page.alert:  # before everything else, for it may be an emergency
            yield static_text(page.alert, "alert")
        if self._note:
            yield static_text(self._note, "note")
        if page.stops:
            yield static_text("\n".join(page.stops), "alert")
        large = self.large
        blocks = large.rows if large is not None else None
        if large is not None:
            if page.banner and not large.has_banner:
                yield static_text(page.banner, "line")
            shown = clickable_places(large.rows, large.clicked)
            blank = large.spare > (self._rows_of_now if self._has_room_for_now else 0)
            yield static_text(shown, "blocks" if blank else "blocks full", id="blocks")
        elif page.banner:
            yield from self._large(page.banner, "banner")
        if page.large:
            yield from self._large(page.lead, "large")
        elif blocks is None and page.lead:
            yield static_text(page.lead, "lead")
        if self._facts:
            yield self._large_facts(self._facts)
        lines, listed = (self._without_facts(part) if self._facts else part for part in (page.lines, page.listed))
        if lines:  # one widget for all: one a line took a tenth of the time to the first screen
            yield static_text(in_bold(self._between.join(lines), *page.strong), "line")
        if page.choices and not (large is not None and large.clicked and not self._small_too):
            yield self._choices(small=blocks is not None)
        if self._below:
            yield static_text("\n".join(self._below), "line")
        if page.fault is not None and blocks is not None and self._fault_rows(blocks):
            told = Vertical(*self._listed(listed, self._columns // 2 - EDGE_COLUMNS))
            beside = Horizontal(told, drawing_with_title(page.fault, "fault"), id="asked-about")
            beside.styles.height = self._fault_rows(blocks)
            yield beside
        else:
            yield from self._listed(listed, self._line_columns)
        if page.before:
            before = "\n".join(hanging("  · ", line, self._line_columns) for line in page.before)
            yield titled_list(page.before_title, before, self._line_columns)
        if page.now is not None and self._now_in_text:
            yield now_text(page.now)

    def _listed(self, listed: tuple[str, ...], columns: int) -> Iterator[Widget]:
        if not listed and self._page.list_title:
            yield static_text(self._page.list_title, "list-title")
        if listed:
            airy = self._rows_in_view() + len(listed) <= self._all_rows - _AIR_ROWS
            between = "\n\n" if airy and not self._page.lines else "\n"
            heads = dict(self._page.heads)
            shown = [hanging("  · ", line, columns) for line in listed]
            above = "" if self.has_class("tight") else "\n"
            grouped = [f"{above}{heads[at]}\n{line}" if at in heads else line for at, line in enumerate(shown)]
            yield titled_list(self._page.list_title, between.join(grouped), columns, *heads.values())

    def _fault_rows(self, blocks: tuple[str, ...]) -> int:
        """The rows that are left below the large letters and the answers, if enough for a drawing; else 0."""
        left = self._rows - len(blocks) - self._rows_below_blocks
        return left if left >= _LEAST_FAULT_ROWS and self._columns >= _CENTRED_COLUMNS else 0

    @property
    def _rows_below_blocks(self) -> int:
        below = sum(len(wrap(line, LINE_COLUMNS)) + 1 for line in self._below)
        return _BELOW_BLOCKS + below + (self._small_rows if self._small_too else 0)

    @property
    def _below(self) -> tuple[str, ...]:
        """What is read after the answers."""
        return (self._page.remark,) if self._page.remark else ()

    @property
    def _has_room_for_now(self) -> bool:
        """Whether it takes no row from the answers, or from large letters, which are answers with their keys."""
        if self.large is not None:
            return self.large.spare >= self._rows_of_now
        page = self._page
        above = (page.banner, page.alert, self._note, page.lead, *page.lines)
        rows = sum(len(wrap(line, self._line_columns)) for line in above) + self._answer_rows
        return not page.choices or rows + _MORE_ROW + self._rows_of_now <= self._all_rows - _OTHER_ROWS_IN_VIEW

    @property
    def _rows_of_now(self) -> int:
        """The rows of what is to be done now, below the window, with a blank one above where there are blank ones."""
        return 1 if self.has_class("tight") else 2

    def _rows_of_steps(self) -> int:
        """The rows of the steps, with a blank one above each where there are blank ones."""
        blank = 0 if self.has_class("tight") else 1
        return blank + sum(step.count("\n") + 1 for step in self._page.lines)

    @property
    def _answer_rows(self) -> int:
        """The rows of the answers, with one above them."""
        return 2 + self._choices_text(small=False)[0].count("\n") if self._page.choices else 0

    def _rows_of(self, lines: tuple[str, ...]) -> int:
        """The rows of lines below the answers, with a blank one above them where there are blank ones."""
        if not any(lines):
            return 0
        return sum(len(wrap(line, self._line_columns)) for line in lines) + (not self.has_class("tight"))

    def _rows_in_view(self, blank: int = 0) -> int:
        """The rows of all of the page, with its answers and what is to be done, and so many blank ones in between."""
        below = sum(1 + len(wrap(line, self._line_columns)) for line in self._below)
        facts = _FACT_ROWS if self._facts else 0
        answers = self._answer_rows + bool(self._answer_rows)
        return self._text_rows(bool(facts), blank) + facts + answers + below + 1 + _NOW_ROWS

    @property
    def _between(self) -> str:
        """What is between two lines: a blank row where there is room for all of them."""
        if self.has_class("tight") or self._facts:
            return "\n"
        return "\n\n" if self._rows_in_view(blank=1) <= self._all_rows - _OTHER_ROWS_IN_VIEW else "\n"

    @cached_property
    def large(self) -> LargeLetters | None:
        """What is drawn to be read from the mark: as much as leaves the question and its answers in the window.

        None if nothing fits, and on a page that is read at the keyboard.
        """
        page = self._page
        if not page.at_mark or page.alert:
            return None
        return next((drawn for drawn in self._ways_to_draw() if drawn is not None), None)

    def _ways_to_draw(self) -> Iterator[LargeLetters | None]:
        """From the one that says most in large letters to the one that says least; None where one does not fit."""
        page, room = self._page, self._rows_of_large
        for narrow in (False, True) if page.banner else ():
            banner = self._drawn(page.banner, room, (narrow,))
            asked = self._with_answers(room - len(banner)) if banner else None
            if banner and asked:
                apart = ("",) if len(banner) + len(asked.rows) < room else ()
                rows = (*banner, *apart, *asked.rows)
                yield replace(asked, rows=rows, spare=room - len(rows), has_banner=True)
        room -= self._rows_of((page.banner,))
        # Large answers come before what is said of the answer before, which may be below the window.
        large = room + (0 if self._small_too else self._small_rows)
        drawn = _LEAST_FAULT_ROWS + self._rows_below_blocks if page.fault and self._columns >= _CENTRED_COLUMNS else 0
        asked = self._with_answers(self._rows - drawn) if drawn else None
        asked = asked or self._with_answers(large) or self._with_answers(large + self._rows_of((page.remark,)))
        yield None if asked is None else replace(asked, spare=max(0, large - len(asked.rows)))
        lead = self._drawn(page.lead, room)
        yield LargeLetters(lead, room - len(lead)) if lead else None

    @cached_property
    def _rows_of_large(self) -> int:
        """The rows for large letters on a page that is asked at the mark, with its answers and the remark below them.

        How to tell the fault may be below the window.
        """
        page = self._page
        more = _MORE_ROW if page.listed or page.before else 0
        note = len(self._note.splitlines())
        return self._all_rows - _OTHER_ROWS_AT_MARK - more - note - self._small_rows - self._rows_of((page.remark,))

    @property
    def _small_rows(self) -> int:
        return self._choices_text(small=True)[0].count("\n") + 1

    @property
    def _small_too(self) -> bool:
        """Whether large answers do not say all: the ends of a scale, the answer given before, or words cut short."""
        return bool(self._page.low) or any(one.chosen or _short(one) != one.text for one in self._page.choices)

    def _with_answers(self, rows: int) -> LargeLetters | None:
        """The question and its answers, below a blank row and each with its key but for numbers."""
        from coach.drawing.cells.large_answers import large_answers

        page, columns = self._page, self._columns - EDGE_COLUMNS - _SCROLL_BAR
        if page.low:
            scale = block_lines([[" ".join(one.text for one in page.choices)]], columns, rows)  # on one line
            lead = self._drawn(page.lead, rows - len(scale)) if scale else None
            drawn = (*lead, *scale) if lead and scale else ()
            return LargeLetters(drawn, rows - len(drawn)) if drawn else None
        for narrow in (False, True):
            lead = self._drawn(page.lead, rows, (narrow,))
            options = [(one.key, _short(one)) for one in page.choices]
            answers = large_answers(options, columns, rows - len(lead)) if lead else None
            if lead and answers:
                drawn = (*lead, *answers.rows)
                pairs = zip(answers.places, page.choices, strict=True)
                places = tuple((len(lead) + at.row, at.column, at.columns, one.key) for at, one in pairs)
                return LargeLetters(drawn, rows - len(drawn), places)
        return None

    def _drawn(self, text: str, rows: int, widths: tuple[bool, ...] = (False, True)) -> tuple[str, ...] | None:
        return block_lines([text.split()], self._columns - EDGE_COLUMNS - _SCROLL_BAR, rows, widths)

    def _drawn_facts(self) -> tuple[tuple[str, ...], ...]:
        """Each fact in large letters, if all of them fit beside one another and the text still fits below."""
        facts = self._page.facts
        room = (self._line_columns - 2 * EDGE_COLUMNS) // max(1, len(facts))
        drawn = [block_lines([[fact.value]], room, ROWS_A_LINE, (True,)) for fact in facts]
        fits = self._text_rows(with_facts=True) + _FACT_ROWS <= self._rows
        return tuple(one for one in drawn if one) if all(drawn) and fits else ()

    def _text_rows(self, with_facts: bool, blank: int = 0) -> int:
        """Rows of the text: without the lines that facts take the place of, or with so many blank ones in between."""
        page = self._page
        lines, listed = (self._without_facts(part) if with_facts else part for part in (page.lines, page.listed))
        in_lists = (f"  · {line}" for line in (*listed, *page.before))
        above = (*page.stops, page.lead, page.alert, self._note, page.list_title, page.before_title)
        shown = (*above, *lines, *in_lists, *(head for _, head in page.heads))
        parts = (page.lead, page.alert, lines, page.list_title, page.before, page.stops, *page.heads)
        gaps = sum(bool(part) for part in parts) * (blank or 1)
        return sum(len(wrap(line, self._line_columns)) for line in shown) + gaps + blank * max(0, len(lines) - 1)

    def _large_facts(self, drawn: tuple[tuple[str, ...], ...]) -> Widget:
        """The facts beside one another, and below each what it is about: one widget, as more would be felt."""
        columns = self._line_columns // len(drawn)
        facts = in_columns(drawn, columns)
        about = in_columns([wrap(fact.about, columns - 1) for fact in self._page.facts], columns)
        return static_text(in_bold(f"{facts}\n{about}", about, style="$secondary"), "fact")

    def _without_facts(self, lines: tuple[str, ...]) -> tuple[str, ...]:
        replaced = [fact.instead_of for fact in self._page.facts]
        return tuple(line for line in lines if line not in replaced)

    def _large(self, word: str, name: str) -> Iterator[Widget]:
        """A word to be read from a distance, or as text where the window is too narrow for large letters."""
        from coach.screens.widgets.big_text import BigText

        dot_columns = dot_columns_for([word], self._columns - EDGE_COLUMNS, DOTS_HIGH)
        yield BigText(word, DOTS_HIGH, dot_columns, id=name) if dot_columns else static_text(word, "lead")

    def _choices(self, small: bool = False) -> Widget:
        """Answers in words on a line each; a scale of numbers as wide as the text, with the names of its ends.

        `small`: they are drawn in large letters too, and are on one line where they fit on it.
        """
        page = self._page
        text, parts, caps = self._choices_text(small)
        keys = [option.key for option in page.choices]
        shown = clickable(text, list(zip(parts, keys, strict=True)))
        if not page.low:
            return static_text(with_key_caps(shown, parts, caps), "choices small" if small else "choices")
        return static_text(shown, "choices small" if small else "choices")

    def _choices_text(self, small: bool) -> tuple[str, list[str], list[str]]:
        """The answers as they are shown, the part of the text for each, and the key in it."""
        page = self._page
        if page.low:
            parts = [f"{_mark(option)}{option.text}" for option in page.choices]
            return self._scale(parts), parts, []
        caps = [f"{_mark(option)} {option.key} " for option in page.choices]
        parts = [f"{cap} {option.text}" for cap, option in zip(caps, page.choices, strict=True)]
        text = "  ".join(parts)
        if not small or len(text) > self._line_columns:
            columns, pairs = self._line_columns, zip(caps, page.choices, strict=True)
            parts = [hanging(f"{cap} ", option.text, columns) for cap, option in pairs]
            airy = not small and not self.has_class("tight") and 3 * len(parts) <= self._rows
            text = ("\n\n" if airy else "\n").join(parts)
        return text, parts, [cap[1:] for cap in caps]

    def _scale(self, parts: list[str]) -> str:
        """Numbers at equal steps over a ruler, and the names of its ends below them."""
        page, steps = self._page, len(parts) - 1
        step = max(4, (self._line_columns - 4) // steps)
        numbers = "".join(f"{part:<{step}}" for part in parts[:-1]) + parts[-1]
        ruler = " " + ("├" + "─" * (step - 1)) + ("┼" + "─" * (step - 1)) * (steps - 1) + "┤"
        width = len(ruler)
        low, high = f" 0 = {page.low}", f"10 = {page.high}"
        room = width - len(low) - len(high)
        ends = [f"{low}{' ' * room}{high}"] if room >= EDGE_COLUMNS else [low, high.rjust(width)]
        return "\n".join((numbers, ruler, *ends))


def _numbered(page: TextPage, columns: int) -> TextPage:
    """The page with its lead and lines as steps, each with its number in front, and the first of them in bold."""
    steps = (page.lead, *page.lines)
    lines = tuple(hanging(f"{number}  ", step, columns) for number, step in enumerate(steps, start=1))
    return replace(page, lead="", lines=lines, strong=lines[:1])


def _short(option: AnswerOption) -> str:
    """The answer without what follows its first comma, which the small letters below have."""
    return option.text.partition(",")[0]


def _mark(option: AnswerOption) -> str:
    return ">" if option.chosen else " "

"""The layout of the handout.

Left: the setup from above and from the side, to one scale. Right: tempo, setup, checks and cues. Below, over the
whole width: when to stop and what to do then, and a log to tick.
"""

from collections.abc import Sequence

from coach.drawing.paper import FONT_TO_CELL, stacked
from coach.drawing.scene import from_above, from_the_side
from coach.reports.pdf.handout_text import HandoutText, Overview, StopRule
from coach.reports.pdf.pdf_page import MM_PER_POINT, PdfPage, PositionMm
from coach.reports.pdf.setup_drawing import drawing_labels
from coach.session.plan import Plan

# Printers leave a margin of up to about 6 mm blank, and a pin or clip needs some more. All sizes here are ours.
MARGIN_MM = 9.0
GAP_MM, _GUTTER_MM = 2.4, 5.0
_DRAWING_SHARE = 0.36
_THIN_MM, _THICK_MM = 0.2, 0.9
_STOP_SHARE = 0.53
_LOG_ROW_MM, _LOG_ROW_MAX_MM, _LOG_DAY_MM, _TICK_MM = 6.2, 9.5, 12.0, 4.2
_LOG_LEAST_DAYS = 6  # two weeks of three sessions

# Font sizes and line spacing, in multiples of the body font size.
_TITLE, _HEADING, _SMALL = 1.6, 1.15, 0.88
_LEADING = 1.23


class HandoutLayout:
    """The handout laid out on a page in one font size."""

    def __init__(self, page: PdfPage, body_pt: float, text: HandoutText, plan: Plan) -> None:
        self._page, self._body_pt, self._text, self._plan = page, body_pt, text, plan
        self._left, self._right = MARGIN_MM, page.width_mm - MARGIN_MM
        self._bottom = page.height_mm - MARGIN_MM

    def draw(self) -> bool:
        """Draw the handout; returns whether everything fits on the page."""
        top = self._head(MARGIN_MM) + GAP_MM
        split = self._left + (self._right - self._left) * _DRAWING_SHARE
        words_end = self._words(split + _GUTTER_MM, top)
        below = self._stop(words_end + GAP_MM)
        foot_top = self.foot(f"{self._text.foot} {self._text.as_of}")
        if not self._log(below + GAP_MM, foot_top - GAP_MM):
            return False
        self._drawings(top, split - self._left, words_end - top)
        return True

    def exercise(self, top: float, below: float) -> bool:
        """Draw the exercise alone, without when to stop and the log; returns whether it ends above `below`."""
        below_head = self._head(top) + GAP_MM
        split = self._left + (self._right - self._left) * _DRAWING_SHARE
        bottom = self._words(split + _GUTTER_MM, below_head)
        if bottom > below:
            return False
        self._drawings(below_head, split - self._left, bottom - below_head)
        return True

    def overview(self, overview: Overview) -> bool:
        """Draw what all exercises have in common; returns whether everything fits on the page."""
        width = self._right - self._left
        y = self._lines(
            (self._left, MARGIN_MM), self._wrap(overview.title, width, _TITLE, bold=True), _TITLE, bold=True
        )
        self._page.rule((self._left, y + 0.6), (self._right, y + 0.6), _THICK_MM)
        y += _THICK_MM + GAP_MM
        for item in overview.items:
            y = self._opposite(y, item.exercise, item.dose, 1.0, bold=True)
            y = self._opposite(y, item.position, item.rest_and_days, _SMALL) + GAP_MM / 2
        for line in overview.said:
            y = self._hanging(self._left, y, "•", line, width)
        if overview.cautions:
            y = self._heading(self._left, y + GAP_MM, overview.cautions_title)
            for caution in overview.cautions:
                y = self._hanging(self._left, y, "•", caution, width)
        below = self._stop(y + GAP_MM)
        return self._log(below + GAP_MM, self.foot(f"{self._text.foot} {self._text.as_of}") - GAP_MM)

    def foot(self, text: str) -> float:
        """Write a text at the foot of the page; returns the y above it."""
        lines = self._wrap(text, self._right - self._left, _SMALL)
        top = self._bottom - len(lines) * self._line_mm(_SMALL)
        self._lines((self._left, top), lines, _SMALL)
        return top

    def _head(self, top: float) -> float:
        """Exercise and days, then position and dose in large type, above a line; returns the y below it."""
        text = self._text
        y = self._opposite(top, text.exercise, text.rest_and_days, 1.0)
        y = self._opposite(y, text.position, text.dose, _TITLE, bold=True)
        self._page.rule((self._left, y + 0.6), (self._right, y + 0.6), _THICK_MM)
        return y + _THICK_MM

    def _opposite(self, top: float, left: str, right: str, share: float, bold: bool = False) -> float:
        """One text at the left and another at the right of the same line; returns the y below it."""
        wide = self._page.text_width_mm(right, self._pt(share), bold)
        width = self._right - self._left - wide - _GUTTER_MM
        y = self._lines((self._left, top), self._wrap(left, width, share, bold), share, bold)
        self._lines((self._right - wide, top), [right], share, bold)
        return y

    def _words(self, left: float, top: float) -> float:
        """Tempo, setup, checks and cues; returns the y below them."""
        text, width = self._text, self._right - left
        y = self._tempo(left, top, width) + GAP_MM
        y = self._heading(left, y, text.setup_title)
        for number, line in enumerate(text.setup_lines, 1):
            y = self._hanging(left, y, f"{number}", line, width)
        y = self._heading(left, y + GAP_MM, text.checks_title)
        for check in text.checks:
            y = self._hanging(left, y, "•", check, width)
        y = self._heading(left, y + GAP_MM, text.cues_title)
        for cue in text.cues:
            y = self._hanging(left, y, "•", cue, width, bold=True)
        return y

    def _tempo(self, left: float, top: float, width: float) -> float:
        """One repetition as a strip; the width that the texts leave is shared in proportion to the seconds."""
        parts, size_pt = self._text.tempo, self._pt(1.0)
        rim, blank = 1.5, self._page.text_width_mm("  ", size_pt)
        words_mm = [self._page.text_width_mm(part.word, size_pt, bold=True) for part in parts]
        least_mm = [
            word_mm + blank + self._page.text_width_mm(part.duration, size_pt) + 2 * rim
            for part, word_mm in zip(parts, words_mm, strict=True)
        ]
        spare_mm, whole_s = width - sum(least_mm), sum(part.seconds for part in parts)
        height = self._line_mm(1.0) + 1.6
        x = left
        for part, word_mm, least in zip(parts, words_mm, least_mm, strict=True):
            wide = least + spare_mm * part.seconds / whole_s
            self._page.box((x, top), wide, height)
            self._lines((x + rim, top + 0.8), [part.word], 1.0, bold=True)
            self._lines((x + rim + word_mm + blank, top + 0.8), [part.duration], 1.0)
            x += wide
        return top + height

    def _drawings(self, top: float, width: float, height: float) -> None:
        """The views from above and from the side, one below the other, spread over the height."""
        side, setup = self._plan.profile.side, self._text.setup
        labels = drawing_labels(self._plan, setup)
        scenes = (from_above(setup, side), from_the_side(setup, side))
        cell_mm = self._pt(_SMALL) * MM_PER_POINT / FONT_TO_CELL
        captions = len(scenes) * self._line_mm(_SMALL)
        papers = stacked(scenes, width, height - captions, labels, cell_mm)
        spare = height - captions - sum(paper.height_mm for paper in papers)
        y = top
        for caption, paper in zip(self._text.views, papers, strict=True):
            y = self._lines((self._left, y), [caption], _SMALL, bold=True)
            self._page.drawing((self._left, y), paper)
            y += paper.height_mm + spare

    def _stop(self, top: float) -> float:
        """In a thick frame: a black title bar, the signs, and next to them what to do; returns the y below."""
        text, width = self._text, self._right - self._left
        title = self._wrap(text.stop_title, width - 4, _HEADING, bold=True)
        bar = len(title) * self._line_mm(_HEADING) + 1.2
        self._page.box((self._left, top), width, bar, filled=True)
        self._lines((self._left + 2, top + 0.6), title, _HEADING, bold=True, white=True)
        y = top + bar
        if text.not_before is not None:
            not_before = self._wrap(text.not_before, width - 4, 1.0, bold=True)
            y = self._lines((self._left + 2, y + 0.8), not_before, 1.0, bold=True) + 0.8
            self._page.rule((self._left, y), (self._right, y), _THIN_MM)
        for number, stop in enumerate(text.stops):
            if number:
                self._page.rule((self._left, y + 0.8), (self._right, y + 0.8), _THIN_MM)
            y = self._one_stop(stop, y + 1.0)
        self._page.box((self._left, top), width, y + 0.8 - top, _THICK_MM)
        return y + 0.8

    def _one_stop(self, stop: StopRule, top: float) -> float:
        left, width = self._left + 2, self._right - self._left - 4
        noticed = width * _STOP_SHARE
        y = top
        for sign in stop.noticed:
            y = self._hanging(left, y, "•", sign, noticed - _GUTTER_MM)
        what = self._wrap(stop.what_to_do, width - noticed, 1.0, bold=True)
        return max(y, self._lines((left + noticed, top), what, 1.0, bold=True))

    def _log(self, top: float, bottom: float) -> bool:
        """The log: a column for each day, a row for each set. Returns whether it fits."""
        text = self._text
        title = self._wrap(text.log_title, self._right - self._left, _HEADING, bold=True)
        y = self._lines((self._left, top), title, _HEADING, bold=True) + 0.8
        row = min((bottom - y) / len(text.log_rows), _LOG_ROW_MAX_MM)
        if row < _LOG_ROW_MM:
            return False
        label = max(self._page.text_width_mm(line, self._pt(1.0)) for line in text.log_rows) + 3
        days = int((self._right - self._left - label) / _LOG_DAY_MM)
        if days < _LOG_LEAST_DAYS:
            return False
        day = (self._right - self._left - label) / days
        drop = (row + self._pt(1.0) * MM_PER_POINT * 0.7) / 2
        for number, line in enumerate(text.log_rows):
            self._page.write((self._left + 1, y + number * row + drop), line, self._pt(1.0))
            self._page.box((self._left, y + number * row), label, row)
            for column in range(days):
                x = self._left + label + column * day
                self._page.box((x, y + number * row), day, row)
                if 0 < number < len(text.log_rows) - 1:
                    corner = (x + (day - _TICK_MM) / 2, y + number * row + (row - _TICK_MM) / 2)
                    self._page.box(corner, _TICK_MM, _TICK_MM)
        return True

    def _pt(self, share: float) -> float:
        return self._body_pt * share

    def _line_mm(self, share: float) -> float:
        return self._pt(share) * MM_PER_POINT * _LEADING

    def _wrap(self, text: str, width_mm: float, share: float, bold: bool = False) -> list[str]:
        return self._page.wrap(text, width_mm, self._pt(share), bold)

    def _lines(
        self, corner: PositionMm, lines: Sequence[str], share: float, bold: bool = False, white: bool = False
    ) -> float:
        """Write lines from their upper left corner; returns the y below them."""
        x, y = corner
        for line in lines:
            baseline = y + self._line_mm(share) * 0.78
            self._page.write((x, baseline), line, self._pt(share), bold, white)
            y += self._line_mm(share)
        return y

    def _heading(self, left: float, top: float, text: str) -> float:
        return self._lines(
            (left, top), self._wrap(text, self._right - left, _HEADING, bold=True), _HEADING, bold=True
        )

    def _hanging(self, left: float, top: float, mark: str, text: str, width: float, bold: bool = False) -> float:
        """A number or a bullet with the text indented next to it; returns the y below it."""
        indent = self._pt(1.0) * MM_PER_POINT * 1.1
        self._lines((left, top), [mark], 1.0, bold=True)
        return self._lines((left + indent, top), self._wrap(text, width - indent, 1.0, bold), 1.0, bold)

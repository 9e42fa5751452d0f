"""A letter or a page of results as a PDF of one page: head, text, a table of what was measured, signature."""

from collections.abc import Sequence
from contextlib import closing
from datetime import UTC, date, datetime, time
from functools import partial

from coach.reports.pdf.pdf_page import MM_PER_POINT, MissingGlyph, PaperSize, PdfPage, largest_fitting, sizes
from coach.reports.text.results.letter import LetterText

# All sizes here are ours; margins as in business letters.
_LEFT_MM, _RIGHT_MM, _TOP_MM, _BOTTOM_MM = 25.0, 20.0, 20.0, 18.0
_MAX_PT, _MIN_PT, _STEP_PT = 11.0, 8.0, 0.25
_TITLE, _HEADING, _TABLE, _LEADING = 1.5, 1.15, 0.9, 1.3
_PARAGRAPH, _SPACE, _SIGN_MM = 0.5, 1.0, 14.0
_THIN_MM, _THICK_MM, _CELL_GAP_MM = 0.2, 0.5, 2.5
_SHARES = (0.31, 0.185, 0.185, 0.125, 0.195)


class LetterError(ValueError):
    """The letter cannot be made: its text does not fit on one page, or the font lacks a character."""


def letter_pdf(text: LetterText, size: PaperSize, on: date) -> bytes:
    """The page in the largest letters in which it fits; the same text gives the same bytes. Raises LetterError."""
    document = partial(PdfPage, size, text.title, text.language, datetime.combine(on, time(), UTC))
    with closing(document()) as trial, closing(document()) as page:
        try:
            body_pt = largest_fitting(
                lambda sheet, letters_pt: _Layout(sheet, letters_pt, text).draw(),
                trial,
                sizes(_MAX_PT, _MIN_PT, _STEP_PT),
            )
        except MissingGlyph as error:
            raise LetterError(str(error)) from error
        if body_pt is not None:
            _Layout(page, body_pt, text).draw()
            return page.bytes()
    raise LetterError(
        f"the text does not fit on one page of {size} in letters of {_MIN_PT:g} points: shorten the lines of "
        "letter.toml in the clinic's folder, or write it as text with --text"
    )


class _Layout:
    """The page in one size of letters, from the top."""

    def __init__(self, page: PdfPage, body_pt: float, text: LetterText) -> None:
        self._page, self._body_pt, self._text = page, body_pt, text
        self._width = page.width_mm - _LEFT_MM - _RIGHT_MM
        self._y = _TOP_MM

    def draw(self) -> bool:
        """Draw everything; returns whether it ends above the lower margin."""
        text = self._text
        for number, line in enumerate(text.head):
            self._paragraph(line, bold=not number)
        if text.head:
            self._page.rule((_LEFT_MM, self._y), (_LEFT_MM + self._width, self._y), _THICK_MM)
        self._skip(_SPACE)
        self._paragraph(text.day)
        self._skip(_SPACE)
        self._paragraph(text.title, _TITLE, bold=True)
        self._skip(_PARAGRAPH)
        self._paragraphs(text.opening)
        self._heading(text.measured_title)
        if text.rows:
            self._table()
        else:
            self._paragraph(text.nothing)
        if text.trained:
            self._heading(text.trained_title)
            self._paragraphs(text.trained)
        self._skip(_SPACE)
        self._paragraphs(text.closing)
        self._y += _SIGN_MM
        self._page.rule((_LEFT_MM, self._y), (_LEFT_MM + self._width / 2, self._y), _THIN_MM)
        self._paragraphs(text.signature)
        return self._y <= self._page.height_mm - _BOTTOM_MM

    def _heading(self, text: str) -> None:
        self._skip(_SPACE)
        self._paragraph(text, _HEADING, bold=True)

    def _paragraphs(self, texts: Sequence[str]) -> None:
        for text in texts:
            self._paragraph(text)
            self._skip(_PARAGRAPH / 2)

    def _paragraph(self, text: str, share: float = 1.0, bold: bool = False) -> None:
        self._y = self._lines(_LEFT_MM, self._y, text, self._width, share, bold)

    def _lines(self, left: float, top: float, text: str, width: float, share: float, bold: bool) -> float:
        """Write a text broken to a width; returns the y below it."""
        size_pt, y = self._body_pt * share, top
        for line in self._page.wrap(text, width, size_pt, bold) if text else ():
            y += size_pt * MM_PER_POINT * _LEADING
            self._page.write((left, y - size_pt * MM_PER_POINT * (_LEADING - 1)), line, size_pt, bold)
        return y

    def _table(self) -> None:
        for number, cells in enumerate((self._text.heads, *self._text.rows)):
            left, bottom = _LEFT_MM, self._y
            for cell, share in zip(cells, _SHARES, strict=True):
                width = self._width * share
                bottom = max(bottom, self._lines(left, self._y, cell, width - _CELL_GAP_MM, _TABLE, not number))
                left += width
            self._y = bottom + 1.0
            self._page.rule((_LEFT_MM, self._y), (_LEFT_MM + self._width, self._y), _THIN_MM if number else _THICK_MM)
            self._y += 0.6

    def _skip(self, lines: float) -> None:
        self._y += lines * self._body_pt * MM_PER_POINT * _LEADING

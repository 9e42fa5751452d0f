"""A page of a PDF: lines, boxes and text at positions in millimetres, in an embedded font.

The font is Open Sans (Latin, Greek and Cyrillic letters; Apache License 2.0) from the package ttf-opensans. Text is
never interpreted as markup.
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Literal

from fpdf import FPDF
from fpdf.drawing import GraphicsStyle, PaintedPath
from fpdf.drawing_primitives import DeviceGray
from fpdf.enums import MethodReturnValue, PathPaintRule, StrokeCapStyle, StrokeJoinStyle
from fpdf.fonts import TTFFont
from ttf_opensans import OPENSANS_BOLD, OPENSANS_REGULAR

from coach.drawing.paper import Paper, PaperLine

PositionMm = tuple[float, float]
PaperSize = Literal["a4", "letter"]

MM_PER_POINT = 25.4 / 72
_FAMILY, _FACES = "OpenSans", {"": OPENSANS_REGULAR, "B": OPENSANS_BOLD}
_MIDDLE_GREY, _BLACK, _WHITE = 128, 0, 255
# Ascent and descent of the letters, in font sizes.
_ASCENT, _DESCENT = 0.76, 0.22


class MissingGlyph(ValueError):
    """The font has no glyph for a character of a text."""


class PdfPage:
    """A page to draw on, and those after it. The same calls give the same bytes.

    It must be closed, because it keeps font files open.
    """

    def __init__(self, size: PaperSize, title: str, language: str, made: datetime) -> None:
        self._pdf = FPDF(orientation="portrait", unit="mm", format=size)
        self._pdf.set_auto_page_break(False)
        self._pdf.c_margin = 0  # text is wrapped at exactly the width that is asked for
        self._pdf.set_title(title)
        self._pdf.set_lang(language)
        self._pdf.set_creation_date(made)
        for style, face in _FACES.items():
            self._pdf.add_font(_FAMILY, style, str(face.path))
        self._fonts = [font for font in self._pdf.fonts.values() if isinstance(font, TTFFont)]
        self._glyphs = frozenset(code for font in self._fonts for code in font.cmap)
        self._pdf.add_page()

    def next_page(self) -> None:
        """Go on with a new page."""
        self._pdf.add_page()

    @property
    def width_mm(self) -> float:
        """The width of the page."""
        return self._pdf.w

    @property
    def height_mm(self) -> float:
        """The height of the page."""
        return self._pdf.h

    def wrap(self, text: str, width_mm: float, size_pt: float, bold: bool = False) -> list[str]:
        """The text in lines of at most this width; a word that is wider is broken. Raises MissingGlyph."""
        self._set_font(size_pt, bold)
        self._require_glyphs(text)
        one_line = " ".join(text.split())
        lines = self._pdf.multi_cell(width_mm, text=one_line, align="L", dry_run=True, output=MethodReturnValue.LINES)
        assert isinstance(lines, list)
        return lines

    def text_width_mm(self, text: str, size_pt: float, bold: bool = False) -> float:
        """The width of a text on one line."""
        self._set_font(size_pt, bold)
        return self._pdf.get_string_width(text)

    def write(self, at: PositionMm, text: str, size_pt: float, bold: bool = False, white: bool = False) -> None:
        """Write one line of text with the left end of its baseline here. Raises MissingGlyph."""
        self._set_font(size_pt, bold)
        self._require_glyphs(text)
        self._pdf.set_text_color(_WHITE if white else _BLACK)
        self._pdf.text(*at, text)

    def box(
        self, corner: PositionMm, width_mm: float, height_mm: float, line_mm: float = 0.3, filled: bool = False
    ) -> None:
        """Draw a rectangle from its upper left corner: black, or with a black outline."""
        self._pdf.set_line_width(line_mm)
        self._pdf.set_draw_color(_BLACK)
        self._pdf.set_fill_color(_BLACK)
        self._pdf.rect(*corner, width_mm, height_mm, style="F" if filled else "D")

    def rule(self, one: PositionMm, other: PositionMm, line_mm: float = 0.3) -> None:
        """Draw a straight line; grey if it is thinner than 0.3 mm."""
        self._pdf.set_line_width(line_mm)
        self._pdf.set_draw_color(_MIDDLE_GREY if line_mm < 0.3 else _BLACK)
        self._pdf.line(*one, *other)

    def drawing(self, corner: PositionMm, paper: Paper) -> None:
        """Draw a scene with its upper left corner here. Raises MissingGlyph."""
        for line in paper.lines:
            self._stroke(corner, line)
        size_pt = paper.font_mm / MM_PER_POINT
        # In reading order, for screen readers and for copying.
        for words in sorted(paper.texts, key=lambda words: (words.at[1], words.at[0])):
            wide = self.text_width_mm(words.text, size_pt)
            left = corner[0] + words.at[0] - (0 if words.name == "scale" else wide / 2)
            level = corner[1] + words.at[1]
            self._pdf.set_fill_color(_WHITE)
            high = (_ASCENT + _DESCENT) * paper.font_mm
            self._pdf.rect(left, level - _ASCENT * paper.font_mm, wide, high, style="F")
            self.write((left, level), words.text, size_pt)

    def bytes(self) -> bytes:
        """The finished PDF; nothing can be drawn afterwards."""
        return bytes(self._pdf.output())

    def close(self) -> None:
        """Close the font files."""
        for font in self._fonts:
            font.ttfont.close()

    def _stroke(self, corner: PositionMm, line: PaperLine) -> None:
        path = PaintedPath()
        _set_style(path.style, line)
        places = [(corner[0] + x, corner[1] + y) for x, y in line.points]
        path.move_to(*places[0])
        for place in places[1:]:
            path.line_to(*place)
        with self._pdf.drawing_context() as context:
            context.add_item(path)

    def _set_font(self, size_pt: float, bold: bool) -> None:
        self._pdf.set_font(_FAMILY, "B" if bold else "", size_pt)

    def _require_glyphs(self, text: str) -> None:
        missing = next((character for character in text if ord(character) not in self._glyphs), None)
        if missing is not None:
            code = f"U+{ord(missing):04X}"
            raise MissingGlyph(f'the font of the handout has no letter for "{missing}" ({code}) in: {text}')


def _set_style(style: GraphicsStyle, line: PaperLine) -> None:
    style.paint_rule = PathPaintRule.STROKE
    style.auto_close = False
    style.stroke_color = DeviceGray(line.grey / 255)
    style.stroke_width = line.width_mm
    style.stroke_cap_style = StrokeCapStyle.ROUND
    style.stroke_join_style = StrokeJoinStyle.ROUND
    style.stroke_dash_pattern = list(line.dash_mm) if line.dash_mm else None


Sheet = Callable[[PdfPage, float], bool]
"""Draws one page in letters of this size in points, and returns whether everything fits."""


def sizes(most_pt: float, least_pt: float, step_pt: float) -> list[float]:
    """The sizes of letters that are tried, the largest first."""
    return [most_pt - step_pt * one for one in range(round((most_pt - least_pt) / step_pt) + 1)]


def largest_fitting(sheet: Sheet, trial: PdfPage, sizes_pt: Sequence[float]) -> float | None:
    """The largest size in which a page fits, by halving: one that fits does so in smaller letters as well.

    It is tried on pages of `trial`, which is thrown away.
    """

    def fits(body_pt: float) -> bool:
        trial.next_page()
        return sheet(trial, body_pt)

    if fits(sizes_pt[0]):
        return sizes_pt[0]
    if not fits(sizes_pt[-1]):
        return None
    return sizes_pt[bisect_left(sizes_pt, True, lo=1, hi=len(sizes_pt) - 1, key=fits)]

"""One page of a PDF: lines, boxes and text at places in millimetres, in a font that is embedded.

The font is Open Sans (Latin, Greek and Cyrillic letters; Apache License 2.0), as the package ttf-opensans ships it.
Text is put down as it is: nothing in it is read as markup.
"""

from datetime import datetime
from typing import Literal

from fpdf import FPDF
from fpdf.drawing import GraphicsStyle, PaintedPath
from fpdf.drawing_primitives import DeviceGray
from fpdf.enums import PathPaintRule, StrokeCapStyle, StrokeJoinStyle
from fpdf.fonts import TTFFont
from ttf_opensans import OPENSANS_BOLD, OPENSANS_REGULAR

from coach.drawing.paper import Paper, PaperLine

Point = tuple[float, float]
PaperSize = Literal["a4", "letter"]

MM_A_POINT = 25.4 / 72
_FAMILY, _FACES = "OpenSans", {"": OPENSANS_REGULAR, "B": OPENSANS_BOLD}
_MIDDLE_GREY, _BLACK, _WHITE = 128, 0, 255
# How far the letters reach above and below their baseline, in font sizes.
_ABOVE, _BELOW = 0.76, 0.22


class NoLetter(ValueError):
    """The font has no shape for a letter of a text."""


class Sheet:
    """A page to draw on. The same calls give the same bytes. To be closed, as the files of its fonts are open."""

    def __init__(self, size: PaperSize, title: str, language: str, made: datetime) -> None:
        self._pdf = FPDF(orientation="portrait", unit="mm", format=size)
        self._pdf.set_auto_page_break(False)
        self._pdf.set_title(title)
        self._pdf.set_lang(language)
        self._pdf.set_creation_date(made)
        for style, face in _FACES.items():
            self._pdf.add_font(_FAMILY, style, str(face.path))
        self._fonts = [font for font in self._pdf.fonts.values() if isinstance(font, TTFFont)]
        self._letters = frozenset(letter for font in self._fonts for letter in font.cmap)
        self._pdf.add_page()

    @property
    def width_mm(self) -> float:
        """The width of the page."""
        return self._pdf.w

    @property
    def height_mm(self) -> float:
        """The height of the page."""
        return self._pdf.h

    def wrapped(self, text: str, width_mm: float, size_pt: float, bold: bool = False) -> list[str]:
        """The text in lines of at most this width; a wider word is broken. NoLetter for a letter the font lacks."""
        self._set_font(size_pt, bold)
        self._refuse_unknown(text)
        lines: list[str] = []
        line = ""
        for word in text.split():
            longer = f"{line} {word}" if line else word
            if self._pdf.get_string_width(longer) <= width_mm:
                line = longer
                continue
            lines += [line] if line else []
            *full, line = self._broken(word, width_mm)
            lines += full
        return [*lines, line] if line else lines

    def text_width_mm(self, text: str, size_pt: float, bold: bool = False) -> float:
        """How wide a text is on one line."""
        self._set_font(size_pt, bold)
        return self._pdf.get_string_width(text)

    def write(self, at: Point, text: str, size_pt: float, bold: bool = False, white: bool = False) -> None:
        """A text on one line that begins at this end of its baseline. NoLetter for one the font lacks."""
        self._set_font(size_pt, bold)
        self._refuse_unknown(text)
        self._pdf.set_text_color(_WHITE if white else _BLACK)
        self._pdf.text(*at, text)

    def box(
        self, corner: Point, width_mm: float, height_mm: float, line_mm: float = 0.3, filled: bool = False
    ) -> None:
        """A rectangle from its upper left corner; filled with black, or with a black line."""
        self._pdf.set_line_width(line_mm)
        self._pdf.set_draw_color(_BLACK)
        self._pdf.set_fill_color(_BLACK)
        self._pdf.rect(*corner, width_mm, height_mm, style="F" if filled else "D")

    def rule(self, one: Point, other: Point, line_mm: float = 0.3) -> None:
        """A straight line."""
        self._pdf.set_line_width(line_mm)
        self._pdf.set_draw_color(_MIDDLE_GREY if line_mm < 0.3 else _BLACK)
        self._pdf.line(*one, *other)

    def drawing(self, corner: Point, paper: Paper) -> None:
        """A drawing with its upper left corner here. NoLetter for a word of it that the font lacks."""
        for line in paper.lines:
            self._stroke(corner, line)
        size_pt = paper.font_mm / MM_A_POINT
        # In the order of reading, as one hears or copies them.
        for words in sorted(paper.words, key=lambda words: (words.at[1], words.at[0])):
            wide = self.text_width_mm(words.text, size_pt)
            left = corner[0] + words.at[0] - (0 if words.name == "scale" else wide / 2)
            level = corner[1] + words.at[1]
            self._pdf.set_fill_color(_WHITE)
            high = (_ABOVE + _BELOW) * paper.font_mm
            self._pdf.rect(left, level - _ABOVE * paper.font_mm, wide, high, style="F")
            self.write((left, level), words.text, size_pt)

    def bytes(self) -> bytes:
        """The PDF. Nothing may be drawn after it."""
        return bytes(self._pdf.output())

    def close(self) -> None:
        """Close the files of the fonts."""
        for font in self._fonts:
            font.ttfont.close()

    def _stroke(self, corner: Point, line: PaperLine) -> None:
        path = PaintedPath()
        _set_style(path.style, line)
        places = [(corner[0] + x, corner[1] + y) for x, y in line.points]
        path.move_to(*places[0])
        for place in places[1:]:
            path.line_to(*place)
        with self._pdf.drawing_context() as context:
            context.add_item(path)

    def _broken(self, word: str, width_mm: float) -> list[str]:
        """A word in pieces that fit; a single letter fits anywhere."""
        pieces = [""]
        for letter in word:
            if pieces[-1] and self._pdf.get_string_width(pieces[-1] + letter) > width_mm:
                pieces.append("")
            pieces[-1] += letter
        return pieces

    def _set_font(self, size_pt: float, bold: bool) -> None:
        self._pdf.set_font(_FAMILY, "B" if bold else "", size_pt)

    def _refuse_unknown(self, text: str) -> None:
        unknown = next((letter for letter in text if ord(letter) not in self._letters), None)
        if unknown is not None:
            raise NoLetter(f'the font of the handout has no letter for "{unknown}" (U+{ord(unknown):04X}) in: {text}')


def _set_style(style: GraphicsStyle, line: PaperLine) -> None:
    style.paint_rule = PathPaintRule.STROKE
    style.auto_close = False
    style.stroke_color = DeviceGray(line.grey / 255)
    style.stroke_width = line.width_mm
    style.stroke_cap_style = StrokeCapStyle.ROUND
    style.stroke_join_style = StrokeJoinStyle.ROUND
    style.stroke_dash_pattern = list(line.dash_mm) if line.dash_mm else None

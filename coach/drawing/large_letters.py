"""Large letters for the set screen, to be read at three metres.

Ordinary text at 40 rows is seen at 3 to 4 minutes of arc from 2 to 3 metres, and 16 is the least one can read (from
memory of ISO 9241-303). A dot is one row high and two columns wide, which is square, so that strokes look equally
thick; where the window is narrow a dot may be narrower, which keeps the height. The cells are full blocks or
spaces: a screen may show the blocks as reversed spaces.
"""

import unicodedata
from collections.abc import Iterable

from coach.drawing.letter_shapes import DOTS_HIGH, LETTERS

_COLUMNS_A_DOT = 2


def big(text: str, rows: int, dot_columns: int | None = None) -> tuple[str, ...]:
    """Draw a text as high as whole scales of seven rows allow; rows of '█' and ' ', all of one length.

    `dot_columns`: how many columns a dot is wide, twice the rows that it is high if not given. Small letters are
    drawn as capitals, a letter without its own shape without its accent, and any other character as a question
    mark. Raises ValueError below seven rows.
    """
    scale = scale_for(rows)
    columns = _COLUMNS_A_DOT * scale if dot_columns is None else dot_columns
    letters = [_shape(character) for character in _capitals(text)]
    drawn: list[str] = []
    for line in range(DOTS_HIGH):
        dots = ".".join(letter[line] for letter in letters)
        cells = "".join(("█" if dot == "#" else " ") * columns for dot in dots)
        drawn.extend([cells] * scale)
    return tuple(drawn)


def scale_for(rows: int) -> int:
    """The largest whole scale that fits in these rows. Raises ValueError below seven."""
    if rows < DOTS_HIGH:
        raise ValueError(f"large letters need at least {DOTS_HIGH} rows, not {rows}")
    return rows // DOTS_HIGH


def width(text: str, scale: int) -> int:
    """The columns that a text takes at a scale."""
    return dots_wide(text) * _COLUMNS_A_DOT * scale


def dots_wide(text: str) -> int:
    """How many dots a text is wide."""
    letters = [_shape(character) for character in _capitals(text)]
    return sum(len(letter[0]) for letter in letters) + max(len(letters) - 1, 0)


def dot_columns_for(texts: Iterable[str], columns: int, rows: int) -> int:
    """How wide a dot may be so that each of these texts fits into the columns; 0 where one does not fit at all."""
    widest = max((dots_wide(text) for text in texts), default=0)
    square = _COLUMNS_A_DOT * scale_for(rows)
    return min(square, columns // widest) if widest else square


def _capitals(text: str) -> str:
    return unicodedata.normalize("NFC", text).upper()


def _shape(character: str) -> tuple[str, ...]:
    """The rows of a letter; without its accent, or a question mark, where it has no shape of its own."""
    if character in LETTERS:
        return LETTERS[character]
    return LETTERS.get(unicodedata.normalize("NFD", character)[0], LETTERS["?"])

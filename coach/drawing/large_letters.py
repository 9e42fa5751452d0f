"""Large letters for the set screen, legible at three metres.

From 2 to 3 metres, ordinary text at 40 rows subtends 3 to 4 minutes of arc; 16 are needed to read it (ISO 9241-303,
from memory). A dot is one row high and two columns wide, which is about square, so that all strokes look equally
thick; in a narrow window a dot may be narrower, to keep the height. The cells are full blocks or spaces, and a screen
may show the blocks as reversed spaces.
"""

import unicodedata
from collections.abc import Iterable

from coach.drawing.letter_shapes import DOTS_HIGH, LETTERS

_COLUMNS_A_DOT = 2


def large_text(text: str, rows: int, dot_columns: int | None = None) -> tuple[str, ...]:
    """Draw a text at the largest whole scale that fits into `rows`; returns rows of '█' and ' ' of equal length.

    `dot_columns` is the width of a dot in columns, by default twice its height in rows. Letters are drawn as
    capitals, those without a shape without their accent, and other characters as a question mark. Raises ValueError
    below seven rows.
    """
    scale = scale_for(rows)
    columns = _COLUMNS_A_DOT * scale if dot_columns is None else dot_columns
    drawn_rows: list[str] = []
    for dots in letter_rows(text):
        cells = "".join(("█" if dot == "#" else " ") * columns for dot in dots)
        drawn_rows.extend([cells] * scale)
    return tuple(drawn_rows)


def letter_rows(text: str) -> tuple[str, ...]:
    """The dots of a text in seven rows, # for each dot that is drawn."""
    letters = [_shape(character) for character in _capitals(text)]
    return tuple(".".join(letter[line] for letter in letters) for line in range(DOTS_HIGH))


def scale_for(rows: int) -> int:
    """The largest whole scale that fits into these rows. Raises ValueError below seven rows."""
    if rows < DOTS_HIGH:
        raise ValueError(f"large letters need at least {DOTS_HIGH} rows, not {rows}")
    return rows // DOTS_HIGH


def width_in_dots(text: str) -> int:
    """The width of a text in dots."""
    letters = [_shape(character) for character in _capitals(text)]
    return sum(len(letter[0]) for letter in letters) + max(len(letters) - 1, 0)


def dot_columns_for(texts: Iterable[str], columns: int, rows: int) -> int:
    """The largest width of a dot at which each of these texts fits into the columns; 0 if there is none."""
    widest = max((width_in_dots(text) for text in texts), default=0)
    square = _COLUMNS_A_DOT * scale_for(rows)
    return min(square, columns // widest) if widest else square


def _capitals(text: str) -> str:
    return unicodedata.normalize("NFC", text).upper()


def _shape(character: str) -> tuple[str, ...]:
    """The rows of a letter; without its accent if it has no shape, or a question mark if it has neither."""
    if character in LETTERS:
        return LETTERS[character]
    return LETTERS.get(unicodedata.normalize("NFD", character)[0], LETTERS["?"])

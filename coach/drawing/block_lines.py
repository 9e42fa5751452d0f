"""Lines of text in letters less than four rows high, for what is read from three metres but is longer than a word.

The shapes are those of the large letters. Two dots share one row, so that a line takes four rows with its gap; where
that is too wide, two dots share one column as well. In a 14-inch window of 24 rows a letter is 25 mm high, in one of
40 rows 15 mm; 14 mm are needed at three metres.
"""

from collections.abc import Iterable, Sequence

from coach.drawing.large_letters import letter_rows, width_in_dots

ROWS_A_LINE = 4
LETTER_ROWS = 3.5
# By the dots above and below in one cell, and for narrow letters by those on its left and on its right.
_TALL = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"


def block_lines(
    parts: Sequence[Sequence[str]],
    columns: int,
    rows: int,
    widths: Sequence[bool] = (False, True),
    blanks: Sequence[int] = (),
) -> tuple[str, ...] | None:
    """Draw paragraphs of words, each word whole, at the larger of two widths that fits; None if neither does.

    A paragraph is a sequence of pieces that are kept on one line each. `widths`: whether narrow, for those to try.
    `blanks`: so many between two pieces, for each paragraph; one without it. Returns rows of cells.
    """
    for narrow in widths:
        dots = columns * 2 if narrow else columns
        between = blanks or [1] * len(parts)
        lines = [line for pieces, gap in zip(parts, between, strict=True) for line in _wrapped(pieces, dots, gap)]
        if len(lines) * ROWS_A_LINE <= rows and all(width_in_dots(line) <= dots for line in lines):
            return tuple(row for line in lines for row in _drawn(line, narrow))
    return None


def _wrapped(pieces: Iterable[str], dots: int, blanks: int) -> list[str]:
    lines: list[str] = []
    for piece in pieces:
        longer = f"{lines[-1]}{' ' * blanks}{piece}" if lines else piece
        if lines and width_in_dots(longer) <= dots:
            lines[-1] = longer
        else:
            lines.append(piece)
    return lines


def _drawn(line: str, narrow: bool) -> list[str]:
    """One line in four rows of cells, the last of them with the gap to the next line."""
    dots = [[dot == "#" for dot in row] for row in letter_rows(line)]
    width = len(dots[0]) + (len(dots[0]) % 2 if narrow else 0)  # a blank column too many would be wrapped
    return cell_rows([row + [False] * (width - len(row)) for row in [*dots, []]], narrow)


def cell_rows(grid: Sequence[Sequence[bool]], narrow: bool) -> list[str]:
    """Rows of dots in half as many rows of cells; narrow: in half as many columns as well. Both are even numbers."""
    pairs = zip(grid[::2], grid[1::2], strict=True)
    return [_quarters(above, below) if narrow else _halves(above, below) for above, below in pairs]


def _halves(above: Sequence[bool], below: Sequence[bool]) -> str:
    return "".join(_TALL[pair] for pair in zip(above, below, strict=True))


def _quarters(above: Sequence[bool], below: Sequence[bool]) -> str:
    cells = zip(above[::2], above[1::2], below[::2], below[1::2], strict=True)
    return "".join(_QUARTERS[sum(bit << place for place, bit in enumerate(cell))] for cell in cells)

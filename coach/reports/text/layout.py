"""Lines of a report: headings, labelled rows and columns, none wider than the page."""

from collections.abc import Sequence
from textwrap import wrap

from coach.model.message_format import as_said

WIDTH = 80
_LABEL = 16
_GAP = "  "


def heading(text: str) -> list[str]:
    """A heading with an empty line before it."""
    lines = paragraph(text)
    return ["", *lines, "-" * max(map(len, lines))]


def paragraph(text: str, indent: str = "") -> list[str]:
    """A text in as many lines as it needs."""
    return wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)


def row(label: str, text: str, label_width: int = _LABEL) -> list[str]:
    """A label with its text beside it; further lines of the text stand below its first."""
    return wrap(text, WIDTH, initial_indent=label.ljust(label_width), subsequent_indent=" " * label_width)


def columns(cells: Sequence[Sequence[str]], like: str, left: int = 1) -> list[str]:
    """Rows of cells under each other; the first `left` columns begin at the left, the others end at the right.

    Numbers are written as the language of the line `like` does. What does not fit on the page goes on below the
    last column.
    """
    cells = [[as_said(cell, like) for cell in row] for row in cells]
    widths = [max(len(cell) for cell in column) for column in zip(*cells, strict=True)]
    below = " " * min(sum(widths[:-1]) + len(_GAP) * (len(widths) - 1), WIDTH // 2)
    lines = [
        _GAP.join(
            cell.ljust(width) if number < left else cell.rjust(width)
            for number, (cell, width) in enumerate(zip(row_of, widths, strict=True))
        )
        for row_of in cells
    ]
    return [part for line in lines for part in wrap(line.rstrip(), WIDTH, subsequent_indent=below)]


def nm(torque_nm: float) -> str:
    """A torque in newton metres with two decimals, and no sign on a zero."""
    return f"{round(torque_nm, 2) + 0.0:.2f}"


def percent(fraction: float, sign: str = "") -> str:
    """A fraction in whole percent; `sign` "+" shows the sign of a rise as well. No sign on a zero."""
    whole = round(fraction * 100)
    return f"{whole:{sign}d}" if whole else "0"


def cm(length_m: float) -> str:
    """A length in whole centimetres."""
    return f"{length_m * 100:.0f}"

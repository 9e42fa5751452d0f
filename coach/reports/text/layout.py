"""Lines of a report, at most as wide as there are columns: headings, paragraphs, labelled rows and tables."""

from collections.abc import Sequence
from textwrap import wrap

from coach.model.message_format import localized
from coach.overview.text_columns import text_columns

_LABEL = 16
_GAP = "  "


def heading(text: str) -> list[str]:
    """An empty line, and an underlined heading."""
    lines = paragraph(text)
    return ["", *lines, "-" * max(map(len, lines))]


def paragraph(text: str, indent: str = "") -> list[str]:
    """A text wrapped into lines."""
    return wrap(text, text_columns(), initial_indent=indent, subsequent_indent=indent)


def row(label: str, text: str) -> list[str]:
    """A label with its text in the column beside the labels; the text of a long label begins after a gap."""
    return marked(f"{label}{_GAP}" if label else "", text, _LABEL)


def marked(mark: str, text: str, width: int) -> list[str]:
    """A text in the column beside a mark; further lines are indented to the start of the text."""
    return wrap(text, text_columns(), initial_indent=mark.ljust(width), subsequent_indent=" " * width)


def columns(cells: Sequence[Sequence[str]], like: str, left: int = 1) -> list[str]:
    """A table; the first `left` columns are aligned left, the others right.

    Numbers are written in the language of the message `like`. Text that does not fit continues below the last column.
    """
    cells = [[localized(cell, like) for cell in row] for row in cells]
    widths = [max(len(cell) for cell in column) for column in zip(*cells, strict=True)]
    below = " " * min(sum(widths[:-1]) + len(_GAP) * (len(widths) - 1), text_columns() // 2)
    lines = [
        _GAP.join(
            cell.ljust(width) if number < left else cell.rjust(width)
            for number, (cell, width) in enumerate(zip(row_of, widths, strict=True))
        )
        for row_of in cells
    ]
    return [part for line in lines for part in wrap(line.rstrip(), text_columns(), subsequent_indent=below)]


def nm(torque_nm: float) -> str:
    """A torque in newton metres with two decimals; zero has no sign."""
    return f"{round(torque_nm, 2) + 0.0:.2f}"


def percent(fraction: float, sign: str = "") -> str:
    """A fraction in whole percent; with `sign` "+" a positive value has a sign, zero never."""
    whole = round(fraction * 100)
    return f"{whole:{sign}d}" if whole else "0"


def cm(length_m: float) -> str:
    """A length in whole centimetres."""
    return f"{length_m * 100:.0f}"

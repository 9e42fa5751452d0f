"""How many columns the lines of a report may take: as many as a terminal's, or as a page has room for."""

from contextvars import ContextVar

WIDTH = 80
"""The columns of a report that is printed."""

_COLUMNS = ContextVar("columns", default=WIDTH)


def text_columns() -> int:
    """How many columns a line may take here."""
    return _COLUMNS.get()


def set_text_columns(columns: int) -> None:
    """Say how many columns there are, to what is made in this thread from now on; never more than are printed."""
    _COLUMNS.set(min(columns, WIDTH))

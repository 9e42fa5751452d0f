"""The figures of an audit as a table for a spreadsheet, one row for each. Pure.

The column names are the same in every language. What is left out as it is of a few people is [c], for
confidential, as in the tables of official statistics.
"""

from collections.abc import Iterable, Iterator

from coach.overview.results.audit import Figure
from coach.reports.tables.spreadsheet import SpreadsheetForm, Value, table_text

AUDIT_COLUMNS = ("by", "group", "figure", "detail", "unit", "clients", "measured", "first", "latest", "mean", "sd")
_PARTS = ("higher", "lower", "within")
_HIDDEN, _DIGITS = "[c]", 4


def audit_csv(figures: Iterable[Figure], form: SpreadsheetForm) -> bytes:
    """The table as UTF-8 with the byte order mark that spreadsheets expect."""
    rows: list[tuple[Value, ...]] = [(*AUDIT_COLUMNS, *_PARTS), *map(_row, figures)]
    return table_text(rows, form).encode("utf-8-sig")


def _row(one: Figure) -> tuple[Value, ...]:
    return (
        *(one.by, one.group, one.name, one.detail, one.unit),
        _HIDDEN if one.hidden and one.clients is None else one.clients,
        one.measured,
        *map(_rounded, (one.first, one.last, one.mean, one.sd)),
        *_parts(one),
    )


def _parts(one: Figure) -> Iterator[Value]:
    for count in (one.higher, one.lower, one.within):
        yield _HIDDEN if count is None and one.measured is not None else count


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, _DIGITS)

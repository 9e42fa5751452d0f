"""A table as a spreadsheet of one country opens it: its decimal mark, its separator, no text read as a formula."""

import csv
import io
from collections.abc import Iterable, Sequence

from msgspec import Struct

Value = str | int | float | None
# A spreadsheet reads a cell with such a beginning as a formula: OWASP, CSV Injection (memory).
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


class SpreadsheetForm(Struct, frozen=True):
    """How a table is written: as the standard library does, or as a country writes numbers."""

    separator: str = ","
    decimal: str = "."


def form_of(locale: str | None) -> SpreadsheetForm:
    """The form of a country such as de_DE, from the Unicode Common Locale Data Repository.

    Where the comma is the decimal mark, spreadsheets separate the cells by semicolons. Raises ValueError for a
    country or language that is not there.
    """
    if locale is None:
        return SpreadsheetForm()
    from babel.core import Locale, UnknownLocaleError
    from babel.numbers import get_decimal_symbol

    try:
        decimal = get_decimal_symbol(Locale.parse(locale))
    except (UnknownLocaleError, ValueError) as error:
        raise ValueError(f"{locale} is not a language and country, such as de_DE or en_GB") from error
    return SpreadsheetForm(";" if decimal == "," else ",", decimal)


def table_text(rows: Iterable[Sequence[Value]], form: SpreadsheetForm) -> str:
    """The rows as text, with the line ends that spreadsheets expect."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=form.separator)
    writer.writerows([_cell(value, form) for value in row] for row in rows)
    return text.getvalue()


def _cell(value: Value, form: SpreadsheetForm) -> Value:
    """The value; a text that a spreadsheet would read as a formula is prefixed with an apostrophe."""
    if isinstance(value, float) and form.decimal != ".":
        return str(value).replace(".", form.decimal)
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA) else value

"""Changing a TOML file that a person wrote: comments, order and layout of all else stay as they are.

tomlkit keeps the layout, but not in every case: a list that ends in a comment without a comma, for one, is not
extended rightly. So every result is read again and refused unless it says what the change means, no more and no less.
"""

import tomllib
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from coach.toml.writer import toml_value


def edit(text: str, change: Callable[[Any], None]) -> str | None:
    """The text with a change made in it, or None if its layout does not allow that.

    `change` is called twice: with the tomlkit document, and with the plain data that the result is compared to.
    """
    import tomlkit  # takes long to import, and few commands change a file

    document, expected = tomlkit.parse(text), tomllib.loads(text)
    change(document)
    change(expected)
    return verify(with_line_ends_of(text, tomlkit.dumps(document)), expected)


def with_line_ends_of(before: str, text: str) -> str:
    """The changed text with the line ends that it had: an editor on Windows may end every line with CR and LF."""
    return text.replace("\r\n", "\n").replace("\n", "\r\n") if "\r\n" in before else text


def insert_row(rows: Any, index: int, row: Mapping[str, Any]) -> None:
    """Put a table into a list of tables, in a tomlkit document or in plain data.

    A list in brackets takes it at `index`, as a table in braces; a list of headers takes it at its end.
    """
    import tomlkit
    from tomlkit.items import AoT, Array

    if isinstance(rows, AoT):
        rows.append(tomlkit.item(row))
    elif isinstance(rows, Array):
        rows.insert(index, tomlkit.parse(f"row = {toml_value(row)}")["row"])
    else:
        rows.insert(index, row)


def move_into_row(table: Any, keys: Sequence[str], rows: str) -> None:
    """Move values of a table, as they are laid out, into a new table at the end of the list `rows` of that table."""
    import tomlkit
    from tomlkit.items import Table

    headed = isinstance(table, Table)
    row: Any = tomlkit.table() if headed else {}
    for key in keys:
        if key in table:
            row[key] = table[key]
    if headed:
        row.add(tomlkit.nl())
    if rows not in table:
        table[rows] = tomlkit.aot() if headed else []
    table[rows].append(row)


def put_rows(table: Any, key: str, rows: Sequence[Mapping[str, Any]]) -> None:
    """Set a key of a table, in a tomlkit document or in plain data, to a list of tables, a line each."""
    import tomlkit
    from tomlkit.items import Table

    if isinstance(table, Table):
        lines = "".join(f"  {toml_value(row)},\n" for row in rows)
        table[key] = tomlkit.parse(f"rows = [\n{lines}]\n")["rows"]
    else:
        table[key] = list(rows)


def verify(text: str, expected: Mapping[str, Any]) -> str | None:
    """The text, if it reads as the expected data; None otherwise."""
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None
    return text if _comparable(found) == _comparable(expected) else None


def _comparable(value: Any) -> Any:
    """Tuples as lists, keys without a value left out, and floats by their digits, as nan is not equal to itself."""
    if isinstance(value, Mapping):
        return {key: _comparable(item) for key, item in value.items() if item is not None}
    if isinstance(value, list | tuple):
        return [_comparable(item) for item in value]
    return ("float", repr(float(value))) if isinstance(value, float) else value

"""prescription.toml as a person would write it: instructions added at its end, values changed in place."""

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from coach.model.base import Name
from coach.toml.diagnostic import FileFault, whole_file
from coach.toml.editor import edit, verify, with_line_ends_of
from coach.toml.writer import dump_item_by_hand

# Lists of tables with one for each position; a key such as setups.45.distance_cm names the position of its table.
BY_POSITION = ("setups", "targets", "doses")
_POSITION = "position"


def value_at(data: Mapping[str, Any], key: str) -> object | None:
    """The value of a key such as dose.sets or setups.45.distance_cm; None where there is none."""
    head, *rest = key.split(".")
    if head in BY_POSITION and rest:
        inside: Any = next((row for row in data.get(head, ()) if position_in(row) == rest[0]), None)
        path = rest[1:]
    else:
        inside, path = data, [head, *rest]
    for part in path:
        inside = inside.get(part) if isinstance(inside, Mapping) else None
    return inside  # type: ignore[no-any-return]  # what a file holds has no type yet


def with_values(text: str, path: Path, values: Mapping[str, object | None]) -> str:
    """The text with these values set; None removes a key. Everything else stays as it is.

    Raises FileFault where the layout of the file does not allow it.
    """
    if not values:
        return text

    def put_all(document: Any) -> None:
        for key, value in values.items():
            put_value(document, key, value)

    return required_text(edit(text, put_all), path)


def with_instruction(text: str, path: Path, instruction: Mapping[str, Any]) -> str:
    """The text with one more instruction at its end. Raises FileFault where they are not tables of their own."""
    expected = tomllib.loads(text)
    expected.setdefault("sign_offs", []).append(instruction)
    item = dump_item_by_hand("sign_offs", instruction, spread=("changed",))
    changed = with_line_ends_of(text, f"{text.rstrip()}\n\n{item}")
    return required_text(verify(changed, expected), path)


def put_value(document: Any, key: str, value: object | None) -> None:
    """Set a value in a tomlkit document or in plain data, or remove it where it is None."""
    head, *rest = key.split(".")
    if head in BY_POSITION and rest:
        _put_in_row(document, head, rest[0], rest[1:], value)
    else:
        _put(document, (head, *rest), value)


def _put(table: Any, path: Sequence[str], value: object | None) -> None:
    *outer, last = path
    for part in outer:
        if part not in table:
            if value is None:
                return
            table[part] = {}
        table = table[part]
    if value is not None:
        table[last] = value
    elif last in table:
        del table[last]


def position_in(row: Mapping[str, Any]) -> str:
    """The position of a table; in files of format 1 it may be its degrees, under a key of that time."""
    return str(row.get(_POSITION, row.get("position_deg")))


def _put_in_row(document: Any, head: str, position: Name, path: Sequence[str], value: object | None) -> None:
    """Set or remove a value in the table of a position; a table without values is removed."""
    rows = document.get(head, [])
    at = next((index for index, row in enumerate(rows) if position_in(row) == position), None)
    if at is not None:
        _put(rows[at], path, value)
        if len(rows[at]) == 1:
            del rows[at]
        if not len(rows):
            del document[head]
    elif value is not None:
        row: dict[str, object] = {_POSITION: position}
        _put(row, path, value)
        if head in document:
            rows.append(row)
        else:
            document[head] = [row]


def required_text(text: str | None, path: Path) -> str:
    """The edited text. Raises FileFault where the layout of the file allowed no edit."""
    if text is None:
        what = "it is laid out so that nothing can be added without changing the rest"
        fix = "add it by hand, or write its lists of tables with a header for each: [[sign_offs]]"
        raise FileFault([whole_file(path, what, "tables with headers, one key a line", fix)])
    return text

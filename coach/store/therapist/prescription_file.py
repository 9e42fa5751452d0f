"""prescription.toml as a person would write it: a word at its end, a value in its place, the rest as it is."""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coach.toml.diagnostic import FileFault, whole_file
from coach.toml.input_parsing import literal

# Lists of tables with one for each position; a key such as setups.45.distance_cm names the position of its table.
BY_POSITION = ("setups", "targets")
_POSITION = "position_deg"


def value_at(data: Mapping[str, Any], key: str) -> object | None:
    """What stands under a key such as dose.sets, or setups.45.distance_cm; None where nothing does."""
    head, *rest = key.split(".")
    if head in BY_POSITION:
        degrees, name = rest
        return next((row.get(name) for row in data.get(head, ()) if str(row.get(_POSITION)) == degrees), None)
    inside: Any = data
    for part in (head, *rest):
        inside = inside.get(part) if isinstance(inside, Mapping) else None
    return inside  # type: ignore[no-any-return]  # what a file holds has no type yet


def with_values(text: str, path: Path, values: Mapping[str, object | None]) -> str:
    """The text with these values in their places; None takes a key out. Everything else stays as it is.

    FileFault where the file is laid out so that this cannot be done.
    """
    import tomlkit  # only who changes a value pays for it

    if not values:
        return text
    document, expected = tomlkit.parse(text), tomllib.loads(text)
    for key, value in values.items():
        _put(document, key, value)
        _put(expected, key, value)
    return _checked(tomlkit.dumps(document), path, expected)


def with_word(text: str, path: Path, word: Mapping[str, Any]) -> str:
    """The text with one more sign-off at its end. FileFault where the sign-offs are not tables of their own."""
    expected = tomllib.loads(text)
    expected.setdefault("sign_offs", []).append(word)
    return _checked(f"{text.rstrip()}\n\n{_word_text(word)}", path, expected)


def _word_text(word: Mapping[str, Any]) -> str:
    lines = ["[[sign_offs]]"]
    for name, value in word.items():
        if name == "changed":
            lines += ["changed = [", *(f"  {literal(change)}," for change in value), "]"]
        else:
            lines.append(f"{name} = {literal(value)}")
    return "\n".join(lines) + "\n"


def _put(document: Any, key: str, value: object | None) -> None:
    head, *rest = key.split(".")
    if head in BY_POSITION:
        _put_in_row(document, head, int(rest[0]), rest[1], value)
        return
    *outer, last = (head, *rest)
    table = document
    for part in outer:
        if part not in table:
            table[part] = {}
        table = table[part]
    if value is not None:
        table[last] = value
    elif last in table:
        del table[last]


def _put_in_row(document: Any, head: str, position_deg: int, name: str, value: object | None) -> None:
    """The value in the table of a position; a table that says nothing any more is taken out."""
    rows = document.get(head, [])
    at = next((index for index, row in enumerate(rows) if row[_POSITION] == position_deg), None)
    if at is None and value is not None:
        row: dict[str, object] = {_POSITION: position_deg, name: value}
        if head in document:
            rows.append(row)
        else:
            document[head] = [row]
    elif at is not None and value is not None:
        rows[at][name] = value
    elif at is not None and name in rows[at]:
        del rows[at][name]
        if len(rows[at]) == 1:
            del rows[at]
        if not len(rows):
            del document[head]


def _checked(text: str, path: Path, expected: Mapping[str, Any]) -> str:
    """The text, if it says what is expected, no more and no less."""
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        found = {}
    if _plain(found) != _plain(expected):
        what = "it is laid out so that nothing can be written into it without touching the rest"
        mend = "write it in yourself, or write its lists of tables with a header for each: [[sign_offs]]"
        raise FileFault([whole_file(path, what, "tables with headers, one key a line", mend)])
    return text


def _plain(value: Any) -> Any:
    """Values to compare: lists and tuples alike, keys without a value left out."""
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items() if item is not None}
    return [_plain(item) for item in value] if isinstance(value, list | tuple) else value

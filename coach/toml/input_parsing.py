"""What a person types into a field or after an =, as the value that the model of the file expects there.

Input that cannot be made such a value stays text: the model then says what is wrong with it, as it does for a file.
"""

import re
from collections.abc import Mapping, Sequence

from coach.frozen import FromFile
from coach.toml.expected import TIME_OF_DAY, Expected, KeyPath, expected_at, expected_fields
from coach.toml.typed_values import (
    DateOrder,
    Unclear,
    has_unit,
    in_two_units,
    is_one_or_two,
    join_units,
    read_time,
    read_typed,
    with_unit,
)
from coach.toml.writer import toml_value

_DECIMAL_COMMA = re.compile(r"-?\d+,\d+[^\d,;\s]*|\d+[^\d,;\s]+\d+,\d+[^\d,;\s]+")
_DECIMAL_COMMA_IN_TEXT = re.compile(r"(?<![\d.])(?<!\d,)(\d+),(\d+)(?![\d.]|,\d)")
_BETWEEN_TEXTS = re.compile(r"(?<!\d),|,(?!\d)")
_BETWEEN_VALUES = re.compile(r",?\s+|\s*;\s*")
_BETWEEN_ENTRIES = re.compile(r"\s*[,;]\s*")


def describe_input(here: Expected | None, key: str = "") -> str:
    """What is expected in a field, in words; without the quotes that only a file needs."""
    return without_quotes(with_unit(here, key)) if here is not None else ""


def without_quotes(expected: str) -> str:
    """What is expected in a file, in words for a field, in which nothing is typed in quotes."""
    return expected.replace(" in quotes", "").replace('"', "")


def parse_input_at(text: str, model: type[FromFile], path: KeyPath, dates: DateOrder | None = None) -> object | None:
    """The input as the value that a model expects at a path; None if nothing was typed.

    `dates` is the order of day and month in the clinic.
    """
    key = next((part for part in reversed(path) if isinstance(part, str)), "")
    return parse_input(text, expected_at(model, path, {}), key, dates)


def parse_input(text: str, here: Expected | None, key: str = "", dates: DateOrder | None = None) -> object | None:
    """The input as the value that is expected here under a key; None if nothing was typed.

    A number may have a decimal comma, and a unit. Texts of a list are separated by semicolons or, if there is none,
    by commas; numbers and names by spaces, commas or semicolons. The values of a table are separated by spaces, in
    the order of its keys, the tables of a list by commas or semicolons.
    """
    text = text.strip()
    if not text:
        return None
    if here is not None and here.bounds.get("pattern") == TIME_OF_DAY:
        return read_time(text) or text
    if here is None or here.kind is str:
        return text
    if here.items is not None:
        return _parse_list(text.removeprefix("[").removesuffix("]").strip(), here.items, key)
    if here.model is not None:
        return _table(join_units(text).split(), expected_fields(here.model))
    value = read_typed(text, here, key, dates)
    return text if isinstance(value, Unclear) else value


def _parse_list(text: str, each: Expected, key: str) -> object:
    if each.model is not None:
        return _parse_tables(join_units(text), expected_fields(each.model))
    if each.kind is str and "pattern" not in each.bounds:
        return _split_texts(text)
    if each.kind in (int, float) and is_one_or_two(text):
        return text
    parts = _split_values(join_units(text, bare=True)) if each.kind in (int, float) else _split_values(text)
    if any(map(has_unit, parts)) and not all(map(has_unit, parts)):
        return text  # 0,95m,1,05m: its commas can be read both as decimal commas and as separators
    return [parse_input(part, each, key) for part in parts]


def _split_texts(text: str) -> list[str]:
    """Texts between semicolons or, if there is none, between commas; the comma of a number separates nothing."""
    parts = text.split(";") if ";" in text else _BETWEEN_TEXTS.split(text)
    return [part.strip() for part in parts if part.strip()]


def _split_values(text: str) -> list[str]:
    """Numbers or names between spaces, commas or semicolons.

    Two values with a comma and no space between them are two items (1,2) if there is nothing else, and one number
    with a decimal comma if other items are separated otherwise (1,5, 2,0).
    """
    parts = [part.strip(",") for part in _BETWEEN_VALUES.split(text)]
    if len(parts) > 1:
        return [
            one for part in parts for one in ([part] if _DECIMAL_COMMA.fullmatch(part) else part.split(",")) if one
        ]
    one_with_unit = in_two_units(text) is not None and not text[-1].isdigit()
    return [text] if one_with_unit else [one for one in text.split(",") if one]


def _parse_tables(text: str, names: Mapping[str, Expected]) -> object:
    """The tables of a list. The text itself if its commas can be read both as decimal commas and as separators."""
    rows = _rows(text, len(names))
    with_decimals = _rows(_DECIMAL_COMMA_IN_TEXT.sub(r"\1.\2", text), len(names))
    if rows != with_decimals:
        fits, decimals_fit = (all(len(row) == len(names) for row in one) for one in (rows, with_decimals))
        if fits and decimals_fit:
            return text
        rows = rows if fits else with_decimals
    return [_table(row, names) for row in rows]


def _rows(text: str, keys: int) -> list[list[str]]:
    """The values of each entry; an entry that would fill several tables was typed without the mark between them."""
    rows: list[list[str]] = []
    for entry in _BETWEEN_ENTRIES.split(text):
        values = entry.split()
        size = keys if len(values) % keys == 0 else len(values)
        rows += [values[start : start + size] for start in range(0, len(values), size)]
    return rows


def _table(values: list[str], names: Mapping[str, Expected]) -> dict[str, object]:
    """The values of one table in the order of its keys; one that is too many is named by its number."""
    named = [*names, *(f"value_{number + 1}" for number in range(len(names), len(values)))]
    return {name: parse_input(value, names.get(name), name) for name, value in zip(named, values, strict=False)}


def format_input(value: object | None) -> str:
    """A value as one would type it: `parse_input` reads it back as the same value."""
    if value is None:
        return ""
    if isinstance(value, list | tuple):
        return _format_list(value)
    return value if isinstance(value, str) else toml_value(value)


def _format_list(items: Sequence[object]) -> str:
    """Items between commas; between semicolons if one of them is a text of several words or with a comma in it."""
    parts = [
        " ".join(map(format_input, item.values())) if isinstance(item, Mapping) else format_input(item)
        for item in items
    ]
    if not any(isinstance(item, str) and {" ", ","} & set(item) for item in items):
        return ", ".join(parts)
    only_one_with_commas = len(parts) == 1 and "," in parts[0]
    return "; ".join(parts) + (";" if only_one_with_commas else "")

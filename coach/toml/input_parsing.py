"""What a person types into a field or behind an =, as the value that the model of the file expects there.

What cannot be made one stays text: then the models say what is wrong with it, in the words they have for files.
"""

import re
import tomllib
from collections.abc import Mapping
from datetime import date, datetime

from pydantic import BaseModel

from coach.toml.expected import Expected, KeyPath, at, described, fields

# A list of tables in one line: entries between commas or semicolons, the values of one between spaces.
_BETWEEN_ENTRIES, _BETWEEN_VALUES = re.compile(r"\s*[,;]\s*"), re.compile(r"[\s,;]+")
_DECIMAL_COMMA = re.compile(r"-?\d+,\d+")


def asked_for(here: Expected | None) -> str:
    """What is expected here, for who types it: the quotes of a file are not typed."""
    return described(here).replace(" in quotes", "").replace('"', "") if here is not None else ""


def typed_at(text: str, model: type[BaseModel], path: KeyPath) -> object | None:
    """A text as the value that a model expects at a path; None where nothing was typed."""
    return typed(text, at(model, path, {}))


def typed(text: str, here: Expected | None) -> object | None:
    """A text as the value that is expected here; None where nothing was typed."""
    text = text.strip()
    if not text:
        return None
    if here is None or here.kind is str:
        return text
    if here.items is not None:
        return _several(text, here.items)
    if here.model is not None:
        return _table(text.split(), list(fields(here.model)))
    if here.choices:
        return next((choice for choice in here.choices if str(choice) == text), text)
    return _single(text)


def _several(text: str, each: Expected) -> list[object]:
    text = text.removeprefix("[").removesuffix("]").strip()
    if each.model is None and each.kind is str and "pattern" not in each.bounds:
        return [typed(part, each) for part in re.split(r"\s*;\s*", text) if part]
    if each.model is None:
        return [typed(part, each) for part in _BETWEEN_VALUES.split(text) if part]
    names = list(fields(each.model))
    return [_table(row, names) for entry in _BETWEEN_ENTRIES.split(text) for row in _rows(entry.split(), len(names))]


def _rows(values: list[str], keys: int) -> list[list[str]]:
    """The values of one entry; of several, where they would fill several and only the mark between was forgotten."""
    whole = len(values) % keys == 0
    return [values[at : at + keys] for at in range(0, len(values), keys)] if whole else [values]


def _table(values: list[str], names: list[str]) -> dict[str, object]:
    """The values of one table in the order of its keys; what is one too many is told by its place."""
    named = [*names, *(f"value_{number + 1}" for number in range(len(names), len(values)))]
    return {name: _single(value) for name, value in zip(named, values, strict=False)}


def _single(text: str) -> object:
    """A number, a date, true or false; a text where it is none of these."""
    if _DECIMAL_COMMA.fullmatch(text):
        text = text.replace(",", ".")
    try:
        value: object = tomllib.loads(f"value = {text}\n")["value"]
    except (tomllib.TOMLDecodeError, ValueError, RecursionError):
        return text
    return value if isinstance(value, bool | int | float | date | datetime | str) else text


def literal(value: object) -> str:
    """A value as it is written in a file: TOML on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {literal(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(literal, value)) + "]"
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, str):
        return _quoted(value)
    return str(value).lower() if isinstance(value, bool) else str(value)


def _quoted(text: str) -> str:
    """A text in quotes: in single ones where that saves the reader a row of backslashes."""
    if '"' in text and "'" not in text and text.isprintable():
        return f"'{text}'"
    import tomli_w

    return tomli_w.dumps({"v": text}).removeprefix("v = ").rstrip("\n")


def as_typed(value: object | None) -> str:
    """A value as one would type it: the other way round of `typed`."""
    if value is None:
        return ""
    if isinstance(value, list | tuple):
        between = "; " if any(isinstance(item, str) and " " in item for item in value) else ", "
        return between.join(_entry(item) for item in value)
    return value if isinstance(value, str) else literal(value)


def _entry(item: object) -> str:
    return " ".join(map(as_typed, item.values())) if isinstance(item, Mapping) else as_typed(item)

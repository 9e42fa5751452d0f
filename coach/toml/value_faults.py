"""A value that does not fit what is expected of it: what is wrong with it, and how to write it instead."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from typing import TYPE_CHECKING

from coach.toml.diagnostic import shorten
from coach.toml.expected import Expected, KeyPath, expected_fields
from coach.toml.nearest_name import nearest_name
from coach.toml.source_positions import SourcePosition
from coach.toml.typed_values import Unclear, has_unit, is_one_or_two, join_units, read_typed, unit_of, with_unit
from coach.toml.writer import toml_value

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_KINDS: tuple[tuple[type, str], ...] = (
    (bool, "true or false"),
    (int, "a whole number"),
    (float, "a number"),
    (str, "text"),
    (datetime, "a date and time"),
    (date, "a date"),
    (time, "a time of day"),
    (tuple, "a list"),
    (dict, "a table"),
)


@dataclass(frozen=True)
class Mismatch:
    """One thing in the data that does not fit: its path in the data, the kind of error, and pydantic's details."""

    path: KeyPath
    kind: str
    found: object
    error: "ErrorDetails"

    @property
    def name(self) -> str:
        """What a person would call it: the key, or the item of a list."""
        keys = [part for part in self.path if isinstance(part, str)]
        if not keys:
            return "the file"
        last = self.path[-1]
        return f"item {last + 1} of {keys[-1]}" if isinstance(last, int) else keys[-1]

    @property
    def key(self) -> str:
        """The key, of the list where it is an item; empty for the file."""
        return next((part for part in reversed(self.path) if isinstance(part, str)), "")

    @property
    def value(self) -> str:
        """The name with the value, as in the file."""
        if isinstance(self.found, dict | tuple):
            return self.name
        return f"{self.name} = {shorten(toml_value(self.found))}"


@dataclass(frozen=True)
class Explanation:
    """What is wrong, what to do about it, what was expected, and the nearest right word.

    `position` is given if it is another one than that of the mismatch.
    """

    what: str
    fix: str
    expected: str = ""
    nearest: str | None = None
    position: SourcePosition | None = None


def explain_value(mismatch: Mismatch, here: Expected | None) -> Explanation:
    """What is wrong with a value at which `here` is expected."""
    explanation = _EXPLAINERS.get(mismatch.kind, _wrong_type)(mismatch, here)
    return replace(explanation, expected=with_unit(here, mismatch.key)) if here is not None else explanation


def _too_small(mismatch: Mismatch, _: Expected | None) -> Explanation:
    return Explanation(f"{mismatch.value} is too small", "write a larger number")


def _too_large(mismatch: Mismatch, _: Expected | None) -> Explanation:
    return Explanation(f"{mismatch.value} is too large", "write a smaller number")


def _too_short(mismatch: Mismatch, _: Expected | None) -> Explanation:
    if isinstance(mismatch.found, tuple | dict):
        return Explanation(f"{mismatch.name} has too few entries: {len(mismatch.found)}", "add what is missing")
    what = f"{mismatch.value} is too short" if mismatch.found else f"{mismatch.name} is empty"
    return Explanation(what, "write something here")


def _too_long(mismatch: Mismatch, here: Expected | None) -> Explanation:
    most = here.bounds.get("max_length") if here is not None else None
    if isinstance(mismatch.found, tuple):
        return Explanation(f"{mismatch.name} has too many entries: {len(mismatch.found)}", f"keep {most} of them")
    length = len(str(mismatch.found))
    over = f"; it is {length - most} too many" if isinstance(most, int) and length > most else ""
    return Explanation(f"{mismatch.name} is too long: {length} characters{over}", "use fewer words")


def _not_a_choice(mismatch: Mismatch, here: Expected | None) -> Explanation:
    choices = here.choices if here is not None else ()
    if isinstance(mismatch.found, dict | tuple) or (choices and type(mismatch.found) is not type(choices[0])):
        what = f"{mismatch.name} is {kind_of(mismatch.found)}: {shorten(toml_value(mismatch.found))}"
    else:
        what = f"{mismatch.value} is not one of the choices"
    near = nearest_name(str(mismatch.found), [str(choice) for choice in choices])
    choice = next((choice for choice in choices if str(choice) == near), None)
    if choice is None and len(choices) == 1:
        choice = choices[0]
    fix = f"write {mismatch.name} = {toml_value(choice)}" if choice is not None else "write one of them"
    return Explanation(what, fix, nearest=near)


def _no_form(mismatch: Mismatch, _: Expected | None) -> Explanation:
    if not mismatch.found:
        return Explanation(f"{mismatch.name} is empty", "write something here")
    plain = re.sub(r"[^a-z0-9]+", "_", str(mismatch.found).lower()).strip("_")[:48]
    pattern = str(mismatch.error.get("ctx", {}).get("pattern", ""))
    near = next((word for word in (plain, str(mismatch.found).upper()) if word and re.fullmatch(pattern, word)), None)
    fix = f"write {mismatch.name} = {toml_value(near)}" if near is not None else "write it in this form"
    return Explanation(f"{mismatch.value} does not have the right form", fix, nearest=near)


def _not_finite(mismatch: Mismatch, _: Expected | None) -> Explanation:
    return Explanation(f"{mismatch.value} is not a finite number", "write a plain number")


def _no_offset(mismatch: Mismatch, _: Expected | None) -> Explanation:
    fix = f"add the offset from UTC at the end: {mismatch.found}+00:00 for UTC"
    return Explanation(f"{mismatch.value} has no offset from UTC", fix)


def _no_kind(mismatch: Mismatch, here: Expected | None) -> Explanation:
    """A table whose `kind` is not one of the known ones."""
    kinds = [
        str(expected_fields(member.model)["kind"].choices[0])
        for member in (here.members if here is not None else ())
        if member.model is not None and "kind" in member.model.model_fields
    ]
    kind = mismatch.found.get("kind") if isinstance(mismatch.found, dict) else None
    near = nearest_name(str(kind), kinds)
    what = f"kind = {shorten(toml_value(kind))} is not one of the choices" if kind is not None else "kind is missing"
    return Explanation(what, f"write kind = one of {', '.join(kinds)}", nearest=near)


def _wrong_type(mismatch: Mismatch, here: Expected | None) -> Explanation:
    if here is None:
        return Explanation(f"{mismatch.value} is {kind_of(mismatch.found)}", _retyped(mismatch, here))
    if isinstance(mismatch.found, str) and here.kind in (int, float, date):
        return _as_typed(mismatch, mismatch.found, here)
    found = "" if isinstance(mismatch.found, bool) else f"{kind_of(mismatch.found)}, "
    return Explanation(f"{mismatch.value} is {found}not {_wanted_kind(here)}", _retyped(mismatch, here))


def _wanted_kind(here: Expected) -> str:
    """The kind of value that is expected, in plain words and without its bounds, which are told as well."""
    if here.members:
        return " or ".join(dict.fromkeys(map(_wanted_kind, here.members)))
    if here.choices:
        return kind_of(here.choices[0])
    if here.model is not None or here.named is not None:
        return "a table"
    return "a list" if here.items is not None else dict(_KINDS).get(here.kind, "the kind expected")


def kind_of(value: object) -> str:
    """The kind of a value in plain words."""
    return next((name for kind, name in _KINDS if isinstance(value, kind)), "something else")


def _retyped(mismatch: Mismatch, here: Expected | None) -> str:
    """How to write the value so that it has the kind that is expected."""
    found, kind = mismatch.found, here.kind if here is not None else None
    if isinstance(found, str) and kind is bool:
        plain = found.strip().lower()
        return (
            f"take the quotes away: {mismatch.name} = {plain}"
            if plain in ("true", "false")
            else "write true or false"
        )
    if isinstance(found, tuple) and len(found) == 1 and here is not None and here.items is None and not here.model:
        return f"take the square brackets away: {mismatch.name} = {shorten(toml_value(found[0]))}"
    if kind is str and not isinstance(found, dict | tuple):
        return f'put it in quotes: {mismatch.name} = "{shorten(str(found))}"'
    if here is not None and kind is int and isinstance(found, float):
        if isinstance(read_typed(f"{found}", here, mismatch.key), Unclear):  # 1.05, which is no centimetre
            return f"write it in {unit_of(mismatch.key)}"
        return f"write {mismatch.name} = {round(found)}" if abs(found) < 1e9 else "write a whole number"
    if here is not None and here.items is not None and here.items.model is not None:
        return f"write its header with two brackets, once for each: [[{mismatch.name}]]"
    if here is not None and here.items is not None and not isinstance(found, dict):
        if here.items.kind in (int, float) and isinstance(found, str) and is_one_or_two(found):
            return "write a space between two numbers, or a decimal point in one"
        if here.items.kind in (int, float) and isinstance(found, str) and _some_units(found):
            return "write a comma and a space between two numbers, and a unit after each of them or after none"
        parts = [part.strip() for part in found.split(",")] if isinstance(found, str) else []
        names = all(re.fullmatch(r"[a-z0-9_]+", part) for part in parts)  # not a sentence with a comma in it
        listed = ", ".join(map(toml_value, parts)) if len(parts) > 1 and names else toml_value(found)
        if here.items.kind in (int, float) and parts and all(re.fullmatch(r"-?[0-9.]+", part) for part in parts):
            listed = ", ".join(parts)
        return f"put it in square brackets: {mismatch.name} = [{shorten(listed)}]"
    if here is not None and here.model is not None and isinstance(mismatch.path[-1], int):
        return "write it as a table: { " + ", ".join(f"{key} = …" for key in here.model.model_fields) + " }"
    if here is not None and here.model is not None:
        return f"write it as a table: [{mismatch.name}], and under it one key a line"
    return "write it as expected"


def _some_units(text: str) -> bool:
    """Whether numbers are listed of which one has a unit."""
    parts = [part for part in re.split(r"[\s,;]+", join_units(text, bare=True)) if part]
    return any(map(has_unit, parts)) and all(part[0].isdigit() for part in parts)


def _as_typed(mismatch: Mismatch, found: str, here: Expected) -> Explanation:
    """A text where a number or a date is expected: how the value that it means is written, or why it means none."""
    read, wanted = read_typed(found, here, mismatch.key), _wanted_kind(here)
    if isinstance(read, Unclear):
        what = f"{mismatch.name}: {read.what}" if read.what else f"{mismatch.value} is not {wanted}"
        return Explanation(what, read.fix)
    return Explanation(
        f"{mismatch.value} is text, not {wanted}", f"take the quotes away: {mismatch.name} = {toml_value(read)}"
    )


_EXPLAINERS: Mapping[str, Callable[[Mismatch, Expected | None], Explanation]] = {
    "greater_than": _too_small,
    "greater_than_equal": _too_small,
    "less_than": _too_large,
    "less_than_equal": _too_large,
    "string_too_short": _too_short,
    "too_short": _too_short,
    "string_too_long": _too_long,
    "too_long": _too_long,
    "literal_error": _not_a_choice,
    "string_pattern_mismatch": _no_form,
    "finite_number": _not_finite,
    "timezone_aware": _no_offset,
    "union_tag_invalid": _no_kind,
    "union_tag_not_found": _no_kind,
}

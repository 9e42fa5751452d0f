"""A value that does not fit what is expected of it: what is wrong with it, and how to write it instead."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from difflib import get_close_matches
from typing import Any

from pydantic_core import ErrorDetails

from coach.toml.diagnostic import shortened
from coach.toml.expected import Expected, KeyPath, fields, written

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
class Misfit:
    """One thing in the data that does not fit: the real path in it, the kind of error, and what the error tells."""

    path: KeyPath
    kind: str
    found: object
    error: ErrorDetails

    @property
    def name(self) -> str:
        """What an editor calls the place: the key, or the item of a list."""
        keys = [part for part in self.path if isinstance(part, str)]
        if not keys:
            return "the file"
        last = self.path[-1]
        return f"item {last + 1} of {keys[-1]}" if isinstance(last, int) else keys[-1]

    @property
    def value(self) -> str:
        """The name with the value, as in the file."""
        if isinstance(self.found, dict | tuple):
            return self.name
        return f"{self.name} = {shortened(written(self.found))}"


def nearest(word: str, words: list[str]) -> str | None:
    """The word most like a misspelt one, or None where none is like it."""
    plain = word.lower().replace("-", "_").replace(" ", "_")[:100]
    begins = [candidate for candidate in words if candidate.startswith(f"{plain}_")]
    close = get_close_matches(plain, words, n=1, cutoff=0.6)
    found = close or begins
    return found[0] if found else None


def value_told(misfit: Misfit, here: Expected | None, wanted: str) -> tuple[str, str, str | None]:
    """What is wrong with a value, what to do, and the nearest right word; `wanted` is what is expected, in words."""
    for kinds, tell in _TELLERS:
        if misfit.kind in kinds:
            return tell(misfit, here)
    return _wrong_type(misfit, here, wanted)


def _too_small(misfit: Misfit, _: Expected | None) -> tuple[str, str, None]:
    return f"{misfit.value} is too small", "write a larger number", None


def _too_large(misfit: Misfit, _: Expected | None) -> tuple[str, str, None]:
    return f"{misfit.value} is too large", "write a smaller number", None


def _too_short(misfit: Misfit, _: Expected | None) -> tuple[str, str, None]:
    if isinstance(misfit.found, tuple | dict):
        return f"{misfit.name} has too few entries: {len(misfit.found)}", "add what is missing", None
    what = f"{misfit.value} is too short" if misfit.found else f"{misfit.name} is empty"
    return what, "write something here", None


def _too_long(misfit: Misfit, here: Expected | None) -> tuple[str, str, None]:
    most = here.bounds.get("max_length") if here is not None else None
    if isinstance(misfit.found, tuple):
        return f"{misfit.name} has too many entries: {len(misfit.found)}", f"keep {most} of them", None
    length = len(str(misfit.found))
    over = f"; it is {length - most} too many" if isinstance(most, int) and length > most else ""
    return f"{misfit.name} is too long: {length} characters{over}", "say it in fewer words", None


def _not_a_choice(misfit: Misfit, here: Expected | None) -> tuple[str, str, str | None]:
    choices = here.choices if here is not None else ()
    if isinstance(misfit.found, dict | tuple) or (choices and type(misfit.found) is not type(choices[0])):
        what = f"{misfit.name} is {kind_of(misfit.found)}: {shortened(written(misfit.found))}"
    else:
        what = f"{misfit.value} is not one of the choices"
    near = nearest(str(misfit.found), [str(choice) for choice in choices])
    choice = next((choice for choice in choices if str(choice) == near), None)
    if choice is None and len(choices) == 1:
        choice = choices[0]
    mend = f"write {misfit.name} = {written(choice)}" if choice is not None else "write one of them"
    return what, mend, near


def _no_form(misfit: Misfit, _: Expected | None) -> tuple[str, str, str | None]:
    if not misfit.found:
        return f"{misfit.name} is empty", "write something here", None
    plain = re.sub(r"[^a-z0-9]+", "_", str(misfit.found).lower()).strip("_")[:48]
    pattern = str(misfit.error.get("ctx", {}).get("pattern", ""))
    near = next((word for word in (plain, str(misfit.found).upper()) if word and re.fullmatch(pattern, word)), None)
    mend = f"write {misfit.name} = {written(near)}" if near is not None else "write it in this form"
    return f"{misfit.value} does not have the right form", mend, near


def _not_finite(misfit: Misfit, _: Expected | None) -> tuple[str, str, None]:
    return f"{misfit.value} is not a number that can be measured", "write a plain number", None


def _no_offset(misfit: Misfit, _: Expected | None) -> tuple[str, str, None]:
    mend = f"add the offset from UTC at the end: {misfit.found}+00:00 for UTC"
    return f"{misfit.value} does not say its offset from UTC", mend, None


def _no_kind(misfit: Misfit, here: Expected | None) -> tuple[str, str, str | None]:
    """A table whose `kind` is none of those there are."""
    kinds = [
        str(fields(member.model)["kind"].choices[0])
        for member in (here.members if here is not None else ())
        if member.model is not None and "kind" in member.model.model_fields
    ]
    kind = misfit.found.get("kind") if isinstance(misfit.found, dict) else None
    near = nearest(str(kind), kinds)
    what = f"kind = {shortened(written(kind))} is not one of the choices" if kind is not None else "kind is missing"
    return what, f"write kind = one of {', '.join(kinds)}", near


_Teller = Callable[[Misfit, Expected | None], tuple[str, str, str | None]]
_TELLERS: tuple[tuple[tuple[str, ...], _Teller], ...] = (
    (("greater_than", "greater_than_equal"), _too_small),
    (("less_than", "less_than_equal"), _too_large),
    (("string_too_short", "too_short"), _too_short),
    (("string_too_long", "too_long"), _too_long),
    (("literal_error",), _not_a_choice),
    (("string_pattern_mismatch",), _no_form),
    (("finite_number",), _not_finite),
    (("timezone_aware",), _no_offset),
    (("union_tag_invalid", "union_tag_not_found"), _no_kind),
)


def _wrong_type(misfit: Misfit, here: Expected | None, wanted: str) -> tuple[str, str, None]:
    found = kind_of(misfit.found) if not isinstance(misfit.found, bool) else ""
    value = "" if isinstance(misfit.found, dict | tuple) else shortened(written(misfit.found))
    found = f"{found} {value}".strip()
    simple = wanted.split(" from ")[0].split(" of ")[0].split(";")[0].split(" above ")[0].split(" at least ")[0]
    what = f"{misfit.name}: expected {simple}, found {found}"
    return what, _retyped(misfit, here), None


def kind_of(value: object) -> str:
    """The kind of a value in an editor's words."""
    return next((words for kind, words in _KINDS if isinstance(value, kind)), "something else")


def _retyped(misfit: Misfit, here: Expected | None) -> str:
    """How to write the value so that it has the kind that is expected."""
    found, kind = misfit.found, here.kind if here is not None else None
    if isinstance(found, str) and kind in (int, float, bool, date):
        return _unquoted(misfit, found, kind)
    if kind is str and not isinstance(found, dict | tuple):
        return f'put it in quotes: {misfit.name} = "{shortened(str(found))}"'
    if kind is int and isinstance(found, float):
        return f"write {misfit.name} = {round(found)}" if abs(found) < 1e9 else "write a whole number"
    if here is not None and here.items is not None and here.items.model is not None:
        return f"write its header with two brackets, once for each: [[{misfit.name}]]"
    if here is not None and here.items is not None and not isinstance(found, dict):
        return f"put it in square brackets: {misfit.name} = [{shortened(written(found))}]"
    if here is not None and here.model is not None and isinstance(misfit.path[-1], int):
        return "write it as a table: { " + ", ".join(f"{key} = …" for key in here.model.model_fields) + " }"
    if here is not None and here.model is not None:
        return f"write it as a table: [{misfit.name}], and under it one key a line"
    return "write it as expected"


def _unquoted(misfit: Misfit, found: str, kind: Any) -> str:
    plain = found.strip().replace(",", ".")
    if kind is date and re.fullmatch(r"\d{4}-\d\d-\d\d", plain):
        return f"take the quotes away: {misfit.name} = {plain}"
    if kind is bool and plain.lower() in ("true", "false"):
        return f"take the quotes away: {misfit.name} = {plain.lower()}"
    if re.fullmatch(r"-?\d{1,9}(\.\d{1,9})?" if kind is float else r"-?\d{1,9}", plain) and kind in (int, float):
        return f"take the quotes away: {misfit.name} = {plain}"
    return "write it without quotes, as expected"

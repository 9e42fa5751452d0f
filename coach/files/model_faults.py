"""Every way in which a well-formed file does not fit its model, as a diagnostic in an editor's words."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from coach.files.diagnostic import Diagnostic, shortened
from coach.files.expected import Expected, at, described, expected, fields, has, item, written
from coach.files.places import KeyPath, Place, Places

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
class _Fault:
    """One fault of the data: the real path in it, the kind of error, and what the error tells."""

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


def model_faults(
    error: ValidationError,
    data: Mapping[str, Any],
    path: Path,
    lines: list[str],
    places: Places,
    model: type[BaseModel],
    *,
    torn: bool = False,
) -> Iterator[Diagnostic]:
    """One diagnostic for each place that does not fit, in no order.

    `torn`: lines with syntax errors were left out, so a key that is missing may be in one of them.
    """
    faults = _by_place(error, data)
    mistyped = _mistyped(faults, model, data)
    for fault in faults:
        if fault.kind == "missing" and (torn or fault.path in mistyped.values()):
            continue  # said with the key that was meant to be it
        here = at(model, fault.path, data)
        if fault.kind == "too_short" and here is not None and _is_enough(fault.found, here):
            continue  # the entries are there, and what is wrong with them is said for each
        place, what, wanted, mend, nearest = _told(fault, here, places, model, data, mistyped)
        yield Diagnostic(path, place.line, place.column, lines[place.line - 1], what, wanted, mend, nearest)


def _is_enough(found: object, here: Expected) -> bool:
    least = here.bounds.get("min_length", 0)
    return isinstance(found, tuple | dict | str) and len(found) >= int(least)


_Told = tuple[Place, str, str, str, str | None]


def _by_place(error: ValidationError, data: Mapping[str, Any]) -> list[_Fault]:
    """Errors with their real path in the data; of several kinds that all failed at one place, one is enough."""
    found: dict[tuple[KeyPath, bool], _Fault] = {}
    for details in error.errors(include_url=False):
        path, value = _real_path(details["loc"], data, details["type"])
        of_key = details["loc"][-1:] == ("[key]",)
        kind = "key" if of_key else details["type"]
        found.setdefault((path, of_key), _Fault(path, kind, value, details))
    return list(found.values())


def _real_path(loc: KeyPath, data: object, kind: str) -> tuple[KeyPath, object]:
    """The part of a location that is in the file: names of kinds between the keys are left out."""
    path: KeyPath = ()
    for index, part in enumerate(loc):
        if has(data, part):
            path, data = (*path, part), item(data, part)
        elif kind == "missing" and index == len(loc) - 1:
            path, data = (*path, part), None
    return path, data


def _mistyped(faults: list[_Fault], model: type[BaseModel], data: object) -> dict[KeyPath, KeyPath]:
    """Unknown keys that are nearly a key of their table, with the path of the key that was meant."""
    meant: dict[KeyPath, KeyPath] = {}
    for fault in faults:
        if fault.kind == "extra_forbidden":
            table = at(model, fault.path[:-1], data)
            taken = _keys_of(data, fault.path[:-1])
            keys = [key for key in (fields(table.model) if table and table.model else {}) if key not in taken]
            near = nearest(str(fault.path[-1]), keys)
            if near is not None and (*fault.path[:-1], near) not in meant.values():
                meant[fault.path] = (*fault.path[:-1], near)
    return meant


def _keys_of(data: object, path: KeyPath) -> Mapping[str, Any]:
    for part in path:
        data = item(data, part)
    return data if isinstance(data, Mapping) else {}


def nearest(word: str, words: list[str]) -> str | None:
    """The word most like a misspelt one, or None where none is like it."""
    plain = word.lower().replace("-", "_").replace(" ", "_")[:100]
    begins = [candidate for candidate in words if candidate.startswith(f"{plain}_")]
    close = get_close_matches(plain, words, n=1, cutoff=0.6)
    found = close or begins
    return found[0] if found else None


def _told(
    fault: _Fault,
    here: Expected | None,
    places: Places,
    model: type[BaseModel],
    data: object,
    mistyped: Mapping[KeyPath, KeyPath],
) -> _Told:
    if fault.kind == "missing":
        return _missing(fault, here, places)
    if fault.kind == "extra_forbidden":
        return _unknown(fault, places, model, data, mistyped)
    if fault.kind == "key":
        return _wrong_key(fault, places, model, data)
    if fault.kind in ("value_error", "assertion_error"):
        return _own_words(fault, places)
    wanted = described(here) if here is not None else ""
    place = places.value(fault.path)
    for kinds, tell in _TELLERS:
        if fault.kind in kinds:
            what, mend, near = tell(fault, here)
            return place, what, wanted, mend, near
    return place, *_wrong_type(fault, here, wanted)


def _missing(fault: _Fault, here: Expected | None, places: Places) -> _Told:
    table = fault.path[:-1]
    keys = [part for part in table if isinstance(part, str)]
    where = f" in {keys[-1]}" if keys else ""
    wanted = described(here) if here is not None else ""
    if fault.path == ("format",) and here is not None:
        mend = f"write format = {max(here.choices)} as the first line"
    elif here is not None and here.model is not None:
        mend = f"add the table [{'.'.join([*keys, fault.name])}]"
    elif here is not None and here.items is not None and here.items.model is not None:
        mend = f"add a table [[{'.'.join([*keys, fault.name])}]]"
    elif keys:
        mend = f"add a line {fault.name} = … to this table"
    else:
        mend = f"add a line {fault.name} = … above the first table"
    return places.key(table), f"{fault.name} is missing{where}", wanted, mend, None


def _unknown(
    fault: _Fault, places: Places, model: type[BaseModel], data: object, mistyped: Mapping[KeyPath, KeyPath]
) -> _Told:
    table = at(model, fault.path[:-1], data)
    keys = list(fields(table.model)) if table is not None and table.model is not None else []
    outer = [part for part in fault.path[:-1] if isinstance(part, str)]
    where = f"a key of {outer[-1]}" if outer else "a key of this file"
    wanted = f"one of {', '.join(keys)}" if keys else ""
    place = places.key(fault.path)
    if fault.path in mistyped:
        near = str(mistyped[fault.path][-1])
        return place, f"{fault.name} is not {where}", wanted, f"write {near}, or take the line out", near
    home = _home_of(fault.name, model)
    mend = f"move it {home}" if home is not None else "take the line out"
    return place, f"{fault.name} is not {where}", wanted, mend, nearest(fault.name, keys)


def _home_of(key: str, model: type[BaseModel]) -> str | None:
    """Where the file does have this key: the usual slip is a line under the wrong header."""
    if key in model.model_fields:
        return "above the first table"
    for name, wanted in fields(model).items():
        inner = wanted.model or (wanted.items.model if wanted.items is not None else None)
        if inner is not None and key in inner.model_fields:
            return f"under [{name}]" if wanted.model is not None else f"under its [[{name}]]"
    return None


def _wrong_key(fault: _Fault, places: Places, model: type[BaseModel], data: object) -> _Told:
    table = at(model, fault.path[:-1], data)
    key = table.named[0] if table is not None and table.named is not None else expected(str)
    near = nearest(fault.name, [str(choice) for choice in key.choices]) if key.choices else None
    what = f"the key {written(shortened(fault.name))} is not right here"
    mend = f"write {near}" if near is not None else "give the key another name"
    return places.key(fault.path), what, described(key), mend, near


def _own_words(fault: _Fault, places: Places) -> _Told:
    """A message of the models' own: "what is wrong: what to do", placed at the first key that it names."""
    message = str(fault.error.get("ctx", {}).get("error", ""))
    what, _, mend = message.partition("; " if "; " in message else ": ")
    if isinstance(fault.found, dict):
        named = [word for word in re.findall(r"\w+", message) if word in fault.found]
        place = places.value((*fault.path, named[0])) if named else places.key(fault.path)
        return place, what, "", mend, None
    return places.value(fault.path), f"{fault.name} {what}", "", mend, None


def _too_small(fault: _Fault, _: Expected | None) -> tuple[str, str, None]:
    return f"{fault.value} is too small", "write a larger number", None


def _too_large(fault: _Fault, _: Expected | None) -> tuple[str, str, None]:
    return f"{fault.value} is too large", "write a smaller number", None


def _too_short(fault: _Fault, _: Expected | None) -> tuple[str, str, None]:
    if isinstance(fault.found, tuple | dict):
        return f"{fault.name} has too few entries: {len(fault.found)}", "add what is missing", None
    what = f"{fault.value} is too short" if fault.found else f"{fault.name} is empty"
    return what, "write something here", None


def _too_long(fault: _Fault, here: Expected | None) -> tuple[str, str, None]:
    most = here.bounds.get("max_length") if here is not None else None
    if isinstance(fault.found, tuple):
        return f"{fault.name} has too many entries: {len(fault.found)}", f"keep {most} of them", None
    length = len(str(fault.found))
    over = f"; it is {length - most} too many" if isinstance(most, int) and length > most else ""
    return f"{fault.name} is too long: {length} characters{over}", "say it in fewer words", None


def _not_a_choice(fault: _Fault, here: Expected | None) -> tuple[str, str, str | None]:
    choices = here.choices if here is not None else ()
    if isinstance(fault.found, dict | tuple) or (choices and type(fault.found) is not type(choices[0])):
        what = f"{fault.name} is {kind_of(fault.found)}: {shortened(written(fault.found))}"
    else:
        what = f"{fault.value} is not one of the choices"
    near = nearest(str(fault.found), [str(choice) for choice in choices])
    choice = next((choice for choice in choices if str(choice) == near), None)
    if choice is None and len(choices) == 1:
        choice = choices[0]
    mend = f"write {fault.name} = {written(choice)}" if choice is not None else "write one of them"
    return what, mend, near


def _no_form(fault: _Fault, _: Expected | None) -> tuple[str, str, str | None]:
    if not fault.found:
        return f"{fault.name} is empty", "write something here", None
    plain = re.sub(r"[^a-z0-9]+", "_", str(fault.found).lower()).strip("_")[:48]
    pattern = str(fault.error.get("ctx", {}).get("pattern", ""))
    near = next((word for word in (plain, str(fault.found).upper()) if word and re.fullmatch(pattern, word)), None)
    mend = f"write {fault.name} = {written(near)}" if near is not None else "write it in this form"
    return f"{fault.value} does not have the right form", mend, near


def _not_finite(fault: _Fault, _: Expected | None) -> tuple[str, str, None]:
    return f"{fault.value} is not a number that can be measured", "write a plain number", None


def _no_offset(fault: _Fault, _: Expected | None) -> tuple[str, str, None]:
    mend = f"add the offset from UTC at the end: {fault.found}+00:00 for UTC"
    return f"{fault.value} does not say its offset from UTC", mend, None


def _no_kind(fault: _Fault, here: Expected | None) -> tuple[str, str, str | None]:
    """A table whose `kind` is none of those there are."""
    kinds = [
        str(fields(member.model)["kind"].choices[0])
        for member in (here.members if here is not None else ())
        if member.model is not None and "kind" in member.model.model_fields
    ]
    kind = fault.found.get("kind") if isinstance(fault.found, dict) else None
    near = nearest(str(kind), kinds)
    what = f"kind = {shortened(written(kind))} is not one of the choices" if kind is not None else "kind is missing"
    return what, f"write kind = one of {', '.join(kinds)}", near


_Teller = Callable[[_Fault, Expected | None], tuple[str, str, str | None]]
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


def _wrong_type(fault: _Fault, here: Expected | None, wanted: str) -> tuple[str, str, str, str | None]:
    found = kind_of(fault.found) if not isinstance(fault.found, bool) else ""
    value = "" if isinstance(fault.found, dict | tuple) else shortened(written(fault.found))
    found = f"{found} {value}".strip()
    simple = wanted.split(" from ")[0].split(" of ")[0].split(";")[0].split(" above ")[0].split(" at least ")[0]
    what = f"{fault.name}: expected {simple}, found {found}"
    return what, wanted, _retyped(fault, here), None


def kind_of(value: object) -> str:
    """The kind of a value in an editor's words."""
    return next((words for kind, words in _KINDS if isinstance(value, kind)), "something else")


def _retyped(fault: _Fault, here: Expected | None) -> str:
    """How to write the value so that it has the kind that is expected."""
    found, kind = fault.found, here.kind if here is not None else None
    if isinstance(found, str) and kind in (int, float, bool, date):
        return _unquoted(fault, found, kind)
    if kind is str and not isinstance(found, dict | tuple):
        return f'put it in quotes: {fault.name} = "{shortened(str(found))}"'
    if kind is int and isinstance(found, float):
        return f"write {fault.name} = {round(found)}" if abs(found) < 1e9 else "write a whole number"
    if here is not None and here.items is not None and here.items.model is not None:
        return f"write its header with two brackets, once for each: [[{fault.name}]]"
    if here is not None and here.items is not None and not isinstance(found, dict):
        return f"put it in square brackets: {fault.name} = [{shortened(written(found))}]"
    if here is not None and here.model is not None and isinstance(fault.path[-1], int):
        return "write it as a table: { " + ", ".join(f"{key} = …" for key in here.model.model_fields) + " }"
    if here is not None and here.model is not None:
        return f"write it as a table: [{fault.name}], and under it one key a line"
    return "write it as expected"


def _unquoted(fault: _Fault, found: str, kind: Any) -> str:
    plain = found.strip().replace(",", ".")
    if kind is date and re.fullmatch(r"\d{4}-\d\d-\d\d", plain):
        return f"take the quotes away: {fault.name} = {plain}"
    if kind is bool and plain.lower() in ("true", "false"):
        return f"take the quotes away: {fault.name} = {plain.lower()}"
    if re.fullmatch(r"-?\d{1,9}(\.\d{1,9})?" if kind is float else r"-?\d{1,9}", plain) and kind in (int, float):
        return f"take the quotes away: {fault.name} = {plain}"
    return "write it without quotes, as expected"

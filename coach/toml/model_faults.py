"""Every way in which a well-formed file does not fit its model, as a diagnostic in an editor's words."""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from coach.toml.diagnostic import Diagnostic, shortened, whole_file
from coach.toml.expected import Expected, KeyPath, at, described, expected, fields, has, item, written
from coach.toml.source_positions import Place, Places
from coach.toml.value_faults import Misfit, nearest, value_told

_MOST_FAULTS = 100  # a person mends a few at a time, and looking for the nearest word takes its time
_Told = tuple[Place, str, str, str, str | None]


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
    """One diagnostic for each place that does not fit; of very many, the first ones and how many more there are.

    `torn`: lines with syntax errors were left out, so a key that is missing may be in one of them.
    """
    faults = sorted(_by_place(error, data), key=lambda fault: _place(fault, places))
    if len(faults) > _MOST_FAULTS:
        what = f"{len(faults) - _MOST_FAULTS} more faults are not shown"
        yield whole_file(path, what, mend="mend these first")
        faults = faults[:_MOST_FAULTS]
    mistyped = _mistyped(faults, model, data)
    for fault in faults:
        if fault.kind == "missing" and (torn or fault.path in mistyped.values()):
            continue  # said with the key that was meant to be it
        here = at(model, fault.path, data)
        if fault.kind == "too_short" and here is not None and _is_enough(fault.found, here):
            continue  # the entries are there, and what is wrong with them is said for each
        place, what, wanted, mend, near = _told(fault, here, places, model, data, mistyped)
        yield Diagnostic(path, place.line, place.column, lines[place.line - 1], what, wanted, mend, near)


def _place(fault: Misfit, places: Places) -> Place:
    if fault.kind == "missing":
        return places.key(fault.path[:-1])
    return places.key(fault.path) if fault.kind in ("extra_forbidden", "key") else places.value(fault.path)


def _is_enough(found: object, here: Expected) -> bool:
    least = here.bounds.get("min_length", 0)
    return isinstance(found, tuple | dict | str) and len(found) >= int(least)


def _by_place(error: ValidationError, data: Mapping[str, Any]) -> list[Misfit]:
    """Errors with their real path in the data; of several kinds that all failed at one place, one is enough."""
    found: dict[tuple[KeyPath, bool], Misfit] = {}
    for details in error.errors(include_url=False):
        path, value = _real_path(details["loc"], data, details["type"])
        of_key = details["loc"][-1:] == ("[key]",)
        kind = "key" if of_key else details["type"]
        found.setdefault((path, of_key), Misfit(path, kind, value, details))
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


def _mistyped(faults: list[Misfit], model: type[BaseModel], data: object) -> dict[KeyPath, KeyPath]:
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


def _told(
    fault: Misfit,
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
    what, mend, near = value_told(fault, here, wanted)
    return _place(fault, places), what, wanted, mend, near


def _missing(fault: Misfit, here: Expected | None, places: Places) -> _Told:
    table = fault.path[:-1]
    keys = [part for part in table if isinstance(part, str)]
    where = f" in {'.'.join(keys)}" if keys else ""
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
    return _place(fault, places), f"{fault.name} is missing{where}", wanted, mend, None


def _unknown(
    fault: Misfit, places: Places, model: type[BaseModel], data: object, mistyped: Mapping[KeyPath, KeyPath]
) -> _Told:
    table = at(model, fault.path[:-1], data)
    keys = list(fields(table.model)) if table is not None and table.model is not None else []
    outer = [part for part in fault.path[:-1] if isinstance(part, str)]
    where = f"a key of {'.'.join(outer)}" if outer else "a key of this file"
    wanted = f"one of {', '.join(keys)}" if keys else ""
    place = _place(fault, places)
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


def _wrong_key(fault: Misfit, places: Places, model: type[BaseModel], data: object) -> _Told:
    table = at(model, fault.path[:-1], data)
    key = table.named[0] if table is not None and table.named is not None else expected(str)
    near = nearest(fault.name, [str(choice) for choice in key.choices]) if key.choices else None
    what = f"the key {written(shortened(fault.name))} is not right here"
    mend = f"write {near}" if near is not None else "give the key another name"
    return _place(fault, places), what, described(key), mend, near


def _own_words(fault: Misfit, places: Places) -> _Told:
    """A message of the models' own: "what is wrong: what to do", placed where it names a key or its item."""
    message = str(fault.error.get("ctx", {}).get("error", ""))
    what, _, mend = message.partition("; " if "; " in message else ": ")
    if isinstance(fault.found, dict):
        named = [word for word in re.findall(r"\w+", message) if word in fault.found]
        counted = re.search(r"item (\d+) of (\w+)", message)
        if counted and counted[2] in fault.found:
            return places.value((*fault.path, counted[2], int(counted[1]) - 1)), what, "", mend, None
        place = places.value((*fault.path, named[0])) if named else places.key(fault.path)
        return place, what, "", mend, None
    return places.value(fault.path), f"{fault.name} {what}", "", mend, None

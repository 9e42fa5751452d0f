"""Every way in which a well-formed file does not fit its model, as a diagnostic in the words of a person's editor."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coach.frozen import FromFile
from coach.toml.diagnostic import Diagnostic, shorten, whole_file
from coach.toml.expected import (
    Expected,
    KeyPath,
    describe,
    expected,
    expected_at,
    expected_fields,
    has_item,
    item_at,
)
from coach.toml.nearest_name import nearest_name
from coach.toml.source_positions import SourcePosition, SourcePositions, find_positions
from coach.toml.value_faults import Explanation, Mismatch, explain_value
from coach.toml.writer import toml_value

if TYPE_CHECKING:
    from pydantic import ValidationError

_MOST_FAULTS = 100  # a person corrects a few at a time, and looking for the nearest name takes its time


def model_faults(
    error: "ValidationError",
    data: Mapping[str, Any],
    path: Path,
    text: str,
    model: type[FromFile],
    *,
    incomplete: bool = False,
) -> Iterator[Diagnostic]:
    """One diagnostic for each place in the text that does not fit the model, in order of their positions.

    Of very many, the first ones are given and how many more there are. `incomplete`: lines with syntax errors were
    left out, so a key that is missing may be in one of them.
    """
    positions, lines = find_positions(text), text.split("\n")
    mismatches = sorted(_mismatches(error, data), key=lambda mismatch: _position(mismatch, positions))
    if len(mismatches) > _MOST_FAULTS:
        what = f"{len(mismatches) - _MOST_FAULTS} more faults are not shown"
        yield whole_file(path, what, fix="correct these first")
        mismatches = mismatches[:_MOST_FAULTS]
    context = _Context(data, model, positions, _misspelt_keys(mismatches, model, data))
    halves = _halves(mismatches, data)
    for one, other in halves:
        yield _two_halves(path, lines, positions, one, other)
    for mismatch in mismatches:
        if mismatch.kind == "missing" and (incomplete or context.is_meant(mismatch.path)):
            continue  # reported with the misspelt key
        if mismatch.kind == "missing" and any(mismatch.path[:-1] in pair for pair in halves):
            continue  # reported with the two tables
        here = expected_at(model, mismatch.path, data)
        if mismatch.kind == "too_short" and here is not None and _is_long_enough(mismatch.found, here):
            continue  # the entries are there, and each is reported with what is wrong with it
        explanation = _EXPLAINERS.get(mismatch.kind, _wrong_value)(mismatch, here, context)
        at = explanation.position or _position(mismatch, positions)
        line = lines[at.line - 1]
        tab = line.find("\t", at.column) + 1 if explanation.what.endswith("holds a tab") else 0
        told = (explanation.what, explanation.expected, explanation.fix, explanation.nearest)
        yield Diagnostic(path, at.line, tab or at.column, line, *told)


@dataclass(frozen=True)
class _Context:
    """The file that mismatches are in. `misspelt` has the paths of unknown keys, with those of the keys meant."""

    data: Mapping[str, Any]
    model: type[FromFile]
    positions: SourcePositions
    misspelt: Mapping[KeyPath, KeyPath]

    def is_meant(self, path: KeyPath) -> bool:
        """Whether the missing key is under a misspelt name, such as [positon.45] for [position.45]."""
        return any(path == right or self._is_inside(path, wrong, right) for wrong, right in self.misspelt.items())

    def _is_inside(self, path: KeyPath, wrong: KeyPath, right: KeyPath) -> bool:
        inner = path[len(right) : -1]
        return path[: len(right)] == right and isinstance(_value_at(self.data, (*wrong, *inner)), Mapping)

    def table_of(self, mismatch: Mismatch) -> Expected | None:
        """What is expected of the table that the mismatch is in."""
        return expected_at(self.model, mismatch.path[:-1], self.data)


def _halves(mismatches: list[Mismatch], data: object) -> list[tuple[KeyPath, KeyPath]]:
    """Tables of which each has all that the other lacks: one table whose header has another name in one place."""
    missing: dict[KeyPath, set[str]] = {}
    for mismatch in mismatches:
        if mismatch.kind == "missing":
            missing.setdefault(mismatch.path[:-1], set()).add(str(mismatch.path[-1]))
    return [
        (one, other)
        for one, other in combinations(missing, 2)
        if one[:-1] == other[:-1]
        and missing[one] <= _table_at(data, other).keys()
        and missing[other] <= _table_at(data, one).keys()
    ]


def _two_halves(path: Path, lines: list[str], positions: SourcePositions, one: KeyPath, other: KeyPath) -> Diagnostic:
    at, there = sorted((positions.of_key(one), positions.of_key(other)), key=lambda place: place.line)
    names = " and ".join(".".join(map(str, key)) for key in (one, other))
    what = f"{names} are two halves of one table"
    return Diagnostic(
        path,
        at.line,
        at.column,
        lines[at.line - 1],
        what,
        f"one name; the other half begins in line {there.line}",
        "give both the same name",
    )


def _position(mismatch: Mismatch, positions: SourcePositions) -> SourcePosition:
    if mismatch.kind == "missing":
        return positions.of_key(mismatch.path[:-1])
    is_key = mismatch.kind in ("extra_forbidden", "key")
    return positions.of_key(mismatch.path) if is_key else positions.of_value(mismatch.path)


def _is_long_enough(found: object, here: Expected) -> bool:
    least = here.bounds.get("min_length", 0)
    return isinstance(found, tuple | dict | str) and len(found) >= int(least)


def _mismatches(error: "ValidationError", data: Mapping[str, Any]) -> list[Mismatch]:
    """Errors with their real path in the data; if several kinds of value failed at one place, one is enough."""
    found: dict[tuple[KeyPath, bool], Mismatch] = {}
    for details in error.errors(include_url=False):
        path, value = _real_path(details["loc"], data, details["type"])
        of_key = details["loc"][-1:] == ("[key]",)
        kind = "key" if of_key else details["type"]
        found.setdefault((path, of_key), Mismatch(path, kind, value, details))
    return list(found.values())


def _real_path(loc: KeyPath, data: object, kind: str) -> tuple[KeyPath, object]:
    """The part of a location that is in the file, without the names of kinds that pydantic puts between the keys."""
    path: KeyPath = ()
    for index, part in enumerate(loc):
        if has_item(data, part):
            path, data = (*path, part), item_at(data, part)
        elif kind == "missing" and index == len(loc) - 1:
            path, data = (*path, part), None
    return path, data


def _misspelt_keys(mismatches: list[Mismatch], model: type[FromFile], data: object) -> dict[KeyPath, KeyPath]:
    """Unknown keys that are nearly a key of their table, with the path of the key that was meant."""
    meant: dict[KeyPath, KeyPath] = {}
    for mismatch in mismatches:
        if mismatch.kind != "extra_forbidden":
            continue
        *outer, name = mismatch.path
        taken = _table_at(data, tuple(outer))
        keys = _keys_of(expected_at(model, tuple(outer), data))
        near = nearest_name(str(name), [key for key in keys if key not in taken])
        if near is None:
            parts = [key for key in keys if key in taken and _may_be_joined(taken[key], mismatch.found)]
            near = nearest_name(str(name), parts)
        if near is not None and (near in taken or (*outer, near) not in meant.values()):
            meant[mismatch.path] = (*outer, near)
    return meant | _renamed(mismatches, meant, model, data)


def _renamed(
    mismatches: list[Mismatch], meant: Mapping[KeyPath, KeyPath], model: type[FromFile], data: object
) -> dict[KeyPath, KeyPath]:
    """The only unknown key of a table where one key is missing, if its value is of that kind: a renamed key."""
    unknown, missing = (
        [one for one in mismatches if one.kind == kind and one.path not in (*meant, *meant.values())]
        for kind in ("extra_forbidden", "missing")
    )
    renamed: dict[KeyPath, KeyPath] = {}
    for one in unknown:
        beside = [other for other in unknown if other.path[:-1] == one.path[:-1]]
        lacking = [other for other in missing if other.path[:-1] == one.path[:-1]]
        if len(beside) == len(lacking) == 1:
            wanted = expected_at(model, lacking[0].path, data)
            is_table = wanted is not None and (wanted.model is not None or wanted.named is not None)
            if is_table == isinstance(one.found, Mapping):
                renamed[one.path] = lacking[0].path
    return renamed


def _may_be_joined(one: object, other: object) -> bool:
    """Whether two values may be parts of one table or of one list, of which one has a misspelt name."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return all(_may_be_joined(one[key], other[key]) for key in one.keys() & other.keys())
    return isinstance(one, list | tuple) and isinstance(other, list | tuple)


def _value_at(data: object, path: KeyPath) -> object:
    for part in path:
        data = item_at(data, part)
    return data


def _table_at(data: object, path: KeyPath) -> Mapping[str, Any]:
    found = _value_at(data, path)
    return found if isinstance(found, Mapping) else {}


def _keys_of(table: Expected | None) -> list[str]:
    if table is None or table.model is not None:
        return list(expected_fields(table.model)) if table is not None and table.model is not None else []
    return [str(choice) for choice in table.named[0].choices] if table.named is not None else []


def _wrong_value(mismatch: Mismatch, here: Expected | None, _: _Context) -> Explanation:
    return explain_value(mismatch, here)


def _missing_key(mismatch: Mismatch, here: Expected | None, _: _Context) -> Explanation:
    keys = [part for part in mismatch.path[:-1] if isinstance(part, str)]
    where = f" in {'.'.join(keys)}" if keys else ""
    if mismatch.path == ("format",) and here is not None:
        fix = f"write format = {max(here.choices)} as the first line"
    elif here is not None and (here.model is not None or here.named is not None):
        fix = f"add the table [{'.'.join([*keys, mismatch.name])}]"
    elif here is not None and here.items is not None and here.items.model is not None:
        fix = f"add a table [[{'.'.join([*keys, mismatch.name])}]]"
    elif keys:
        fix = f"add a line {mismatch.name} = … to this table"
    else:
        fix = f"add a line {mismatch.name} = … above the first table"
    return Explanation(f"{mismatch.name} is missing{where}", fix, describe(here) if here is not None else "")


def _unknown_key(mismatch: Mismatch, _: Expected | None, context: _Context) -> Explanation:
    keys = _keys_of(context.table_of(mismatch))
    outer = [part for part in mismatch.path[:-1] if isinstance(part, str)]
    what = f"{mismatch.name} is not a key of {'.'.join(outer) or 'this file'}"
    wanted = f"one of {', '.join(keys)}" if keys else ""
    around = _around(mismatch, context)
    if around is not None:
        return Explanation(what, f"move it under [{around}]", wanted)
    if mismatch.path in context.misspelt:
        near = str(context.misspelt[mismatch.path][-1])
        return Explanation(what, f"write {near}, or take the line out", wanted, near)
    header = _header_of(mismatch, context)
    if header is not None:
        return Explanation(what, f"write {header}", wanted, header)
    home = _home_of(mismatch.name, context.model)
    fix = f"move it {home}" if home is not None else "take the line out"
    taken = _table_at(context.data, mismatch.path[:-1])
    return Explanation(what, fix, wanted, nearest_name(mismatch.name, [key for key in keys if key not in taken]))


def _around(mismatch: Mismatch, context: _Context) -> str | None:
    """The table around this one that has the key: a line was added below its last list."""
    for end in range(len(mismatch.path) - 2, 0, -1):
        here = expected_at(context.model, mismatch.path[:end], context.data)
        if isinstance(mismatch.path[end - 1], str) and mismatch.name in _keys_of(here):
            return ".".join(str(part) for part in mismatch.path[:end] if isinstance(part, str))
    return None


def _header_of(mismatch: Mismatch, context: _Context) -> str | None:
    """The header that was meant by [[cues]] below [position.0]: that of a list in the table above it."""
    if len(mismatch.path) != 1 or not isinstance(mismatch.found, list | tuple):
        return None
    line, above = context.positions.of_key(mismatch.path).line, list[tuple[int, str]]()
    for table, wanted in expected_fields(context.model).items():
        inner = wanted.named[1].model if wanted.named is not None else None
        for name in _table_at(context.data, (table,)) if inner and mismatch.name in inner.model_fields else ():
            begins = context.positions.of_key((table, name)).line
            above += [(begins, f"[[{table}.{name}.{mismatch.name}]]")] if begins < line else []
    return max(above)[1] if above else None


def _home_of(key: str, model: type[FromFile]) -> str | None:
    """Where the file does have this key: the usual slip is a line under the wrong header."""
    if key in model.model_fields:
        return "above the first table"
    for name, wanted in expected_fields(model).items():
        inner = wanted.model or (wanted.items.model if wanted.items is not None else None)
        if inner is not None and key in inner.model_fields:
            return f"under [{name}]" if wanted.model is not None else f"under its [[{name}]]"
    return None


def _wrong_key(mismatch: Mismatch, _: Expected | None, context: _Context) -> Explanation:
    table = context.table_of(mismatch)
    key = table.named[0] if table is not None and table.named is not None else expected(str)
    taken = _table_at(context.data, mismatch.path[:-1])
    near = nearest_name(mismatch.name, [str(choice) for choice in key.choices if choice not in taken])
    what = f"the key {toml_value(shorten(mismatch.name))} is not right here"
    fix = f"write {near}" if near is not None else "give the key another name"
    return Explanation(what, fix, describe(key), near)


def _message_of_model(mismatch: Mismatch, _: Expected | None, context: _Context) -> Explanation:
    """A message of a validator, "what is wrong: what to do", at the position of the key or item that it names."""
    message = str(mismatch.error.get("ctx", {}).get("error", ""))
    what, _separator, fix = message.partition("; " if "; " in message else ": ")
    of_value = context.positions.of_value
    if not isinstance(mismatch.found, dict):
        return Explanation(f"{mismatch.name} {what}", fix, position=of_value(mismatch.path))
    item = re.search(r"item (\d+) of (\w+)", message)
    if item and item[2] in mismatch.found:
        return Explanation(what, fix, position=of_value((*mismatch.path, item[2], int(item[1]) - 1)))
    named = next((word for word in re.findall(r"\w+", message) if word in mismatch.found), None)
    position = context.positions.of_key(mismatch.path) if named is None else of_value((*mismatch.path, named))
    return Explanation(what, fix, position=position)


_EXPLAINERS: Mapping[str, Callable[[Mismatch, Expected | None, _Context], Explanation]] = {
    "missing": _missing_key,
    "extra_forbidden": _unknown_key,
    "key": _wrong_key,
    "value_error": _message_of_model,
    "assertion_error": _message_of_model,
}

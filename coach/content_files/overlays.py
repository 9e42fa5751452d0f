"""Merging message files: a language over its fallback language, and a clinic's overrides over both."""

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import Struct

Data = Mapping[str, Any]
Key = tuple[str, ...]
OWN = "variants"  # belongs to the text beside it: a language or a clinic with its own text has its own, or none
_NAMED_BY = "fault"  # a list of tables that each name a fault is merged by that name
APPENDED = "cautions"  # a clinic's cautions are added to these; none can be removed


class Leaf(Struct, frozen=True):
    """A value that is no table, with its path: names and, in a list without names, numbers from 1."""

    key: Key
    value: object

    @property
    def name(self) -> str:
        """The path as one dotted key."""
        return ".".join(self.key)


def leaves_of(value: object, key: Key = ()) -> Iterator[Leaf]:
    """Every value of a table that is not itself a table, in order."""
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from leaves_of(inner, (*key, str(name)))
    elif isinstance(value, tuple):
        for number, inner in enumerate(value, 1):
            name = _name_of(inner)
            unnamed = {part: item for part, item in inner.items() if part != _NAMED_BY} if name else inner
            yield from leaves_of(unnamed, (*key, name or str(number)))
    else:
        yield Leaf(key, value)


def path_of_name(data: Data, key: Key) -> tuple[str | int, ...] | None:
    """The path of the name that identifies a table in a list; None if the key is not such a name."""
    path: list[str | int] = []
    inside: object = data
    for name in key:
        if isinstance(inside, tuple):
            number = next((number for number, item in enumerate(inside) if _name_of(item) == name), None)
            if number is None:
                return None
            path.append(number)
            inside = inside[number]
        elif isinstance(inside, Mapping) and name in inside:
            path.append(name)
            inside = inside[name]
        else:
            return None
    return (*path, _NAMED_BY) if isinstance(path[-1], int) else None


def with_fallback(fallback: Data, language: Data) -> dict[str, Any]:
    """The messages of a language, with missing ones from the fallback; a shorter list is completed from it."""
    return _merge(fallback, language, _complete)


def with_overrides(shipped: Data, overrides: Data) -> dict[str, Any]:
    """The shipped messages with the clinic's overrides. A list is replaced, but the clinic's cautions are added."""
    return _merge(shipped, overrides, _replace)


def _merge(below: Data, above: Data, lists: Any) -> dict[str, Any]:
    merged = dict(below)
    for name, value in above.items():
        there = below.get(name)
        if isinstance(there, Mapping) and isinstance(value, Mapping):
            merged[name] = _merge(there, value, lists)
        elif isinstance(there, tuple) and isinstance(value, tuple):
            named = all(_name_of(item) for item in (*there, *value))
            merged[name] = _by_name(there, value) if named and there else lists(name, there, value)
        else:
            merged[name] = value
    return merged


def _by_name(below: tuple[Data, ...], above: tuple[Data, ...]) -> tuple[Data, ...]:
    added = {_name_of(item): item for item in above}
    merged = [{**_without_own(item, added), **added.pop(_name_of(item), {})} for item in below]
    return (*merged, *added.values())


def _without_own(item: Data, added: Mapping[str, Data]) -> Data:
    """A table of a list, without what belongs to its text if another text takes its place."""
    replaced = "text" in added.get(_name_of(item), {})
    return {key: value for key, value in item.items() if key != OWN or not replaced}


def _complete(_: str, fallback: tuple[Any, ...], language: tuple[Any, ...]) -> tuple[Any, ...]:
    return (*language, *fallback[len(language) :])


def _replace(name: str, shipped: tuple[Any, ...], overrides: tuple[Any, ...]) -> tuple[Any, ...]:
    return (*shipped, *overrides) if name == APPENDED else overrides


def _name_of(item: object) -> str:
    return str(item.get(_NAMED_BY, "")) if isinstance(item, Mapping) else ""

"""One file of words out of several: a language over the one that stands in for it, a clinic's own words over both."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

Data = Mapping[str, Any]
Key = tuple[str, ...]
_NAMED_BY = "fault"  # a list of tables that each name a fault is merged by that name
ADDED = "cautions"  # a clinic adds to them; nobody takes one away


@dataclass(frozen=True)
class Line:
    """A line and its place: names and, in a list without names, numbers from 1."""

    key: Key
    text: object

    @property
    def name(self) -> str:
        """The place in one word, as an editor would write it."""
        return ".".join(self.key)


def lines_of(value: object, key: Key = ()) -> Iterator[Line]:
    """Every line of a table, in order."""
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from lines_of(inner, (*key, str(name)))
    elif isinstance(value, tuple):
        for number, inner in enumerate(value, 1):
            yield from lines_of(inner, (*key, _name_of(inner) or str(number)))
    elif not (key and key[-1] == _NAMED_BY):
        yield Line(key, value)


def named_at(data: Data, key: Key) -> tuple[str | int, ...] | None:
    """Where the name stands by which a table in a list is known; None where the key is not such a name."""
    place: list[str | int] = []
    inside: object = data
    for name in key:
        if isinstance(inside, tuple):
            number = next((number for number, item in enumerate(inside) if _name_of(item) == name), None)
            if number is None:
                return None
            place.append(number)
            inside = inside[number]
        elif isinstance(inside, Mapping) and name in inside:
            place.append(name)
            inside = inside[name]
        else:
            return None
    return (*place, _NAMED_BY) if isinstance(place[-1], int) else None


def with_fallback(fallback: Data, spoken: Data) -> dict[str, Any]:
    """The spoken lines, each missing one from the fallback; a list that is shorter is completed from there."""
    return _merged(fallback, spoken, _completed)


def with_clinic(shipped: Data, own: Data) -> dict[str, Any]:
    """The shipped lines, each that the clinic says in its words; a list is the clinic's, cautions come on top."""
    return _merged(shipped, own, _replaced)


def _merged(below: Data, above: Data, lists: Any) -> dict[str, Any]:
    merged = dict(below)
    for name, value in above.items():
        there = below.get(name)
        if isinstance(there, Mapping) and isinstance(value, Mapping):
            merged[name] = _merged(there, value, lists)
        elif isinstance(there, tuple) and isinstance(value, tuple):
            named = all(_name_of(item) for item in (*there, *value))
            merged[name] = _by_name(there, value) if named and there else lists(name, there, value)
        else:
            merged[name] = value
    return merged


def _by_name(below: tuple[Data, ...], above: tuple[Data, ...]) -> tuple[Data, ...]:
    said = {_name_of(item): item for item in above}
    kept = [{**item, **said.pop(_name_of(item), {})} for item in below]
    return (*kept, *said.values())


def _completed(_: str, fallback: tuple[Any, ...], spoken: tuple[Any, ...]) -> tuple[Any, ...]:
    return (*spoken, *fallback[len(spoken) :])


def _replaced(name: str, shipped: tuple[Any, ...], own: tuple[Any, ...]) -> tuple[Any, ...]:
    return (*shipped, *own) if name == ADDED else own


def _name_of(item: object) -> str:
    return str(item.get(_NAMED_BY, "")) if isinstance(item, Mapping) else ""

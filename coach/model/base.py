"""The base class of every model, and the types of values that several models have."""

from collections.abc import Iterator
from functools import cache
from typing import Annotated, Any, Literal, TypeVar, get_args, get_type_hints

from coach.frozen import AlsoAs, AlsoUnder, Bounds, EveryName, FormOnce, FromFile, form

_POSITION_KEYS = {"position_deg": "position", "position_cap_deg": "position_cap"}
_POSITION_NAMES = frozenset({"position", "position_cap", "positions"})


class Frozen(FromFile):
    """A frozen class of a file of this program, which may be one of format 1."""

    @classmethod
    def as_now(cls, given: Any) -> Any:
        """The data with positions by their names: files of format 1 name them by their degrees.

        A key of format 1 beside that of today stays as it is, and is then no known key.
        """
        now = _by_names(given)
        return now if now != given and _has_positions(cls) else given


@cache
def _has_positions(kind: type[FromFile]) -> bool:
    """Whether the class, or one inside it, has positions that format 1 names by their degrees."""
    parts = [part for hint in get_type_hints(kind, include_extras=True).values() for part in _parts_of(hint)]
    inside = {part for part in parts if isinstance(part, type) and issubclass(part, FromFile) and part is not kind}
    return any(isinstance(part, AlsoAs | AlsoUnder) for part in parts) or any(map(_has_positions, inside))


def _parts_of(hint: Any) -> Iterator[Any]:
    yield hint
    for part in get_args(hint):
        yield from _parts_of(part)


def _by_names(given: Any) -> Any:
    if isinstance(given, dict):
        now = {key: _POSITION_KEYS.get(key, key) for key in given}
        return {
            key if now[key] != key and now[key] in given else now[key]: _named(key, _by_names(item))
            for key, item in given.items()
        }
    return [_by_names(item) for item in given] if isinstance(given, list | tuple) else given


def _named(key: str, item: Any) -> Any:
    if _POSITION_KEYS.get(key, key) not in _POSITION_NAMES:
        return item
    return [_name_of_degrees(one) for one in item] if isinstance(item, list) else _name_of_degrees(item)


def _name_of_degrees(given: object) -> object:
    return str(given) if type(given) is int else given


Key = TypeVar("Key")
Value = TypeVar("Value")
# Messages that code asks for by name. The Literal declares the names, and a file that lacks one is refused.
Complete = Annotated[dict[Key, Value], EveryName()]
Line = Annotated[str, Bounds(min_length=1, max_length=400)]
Lines = Annotated[str, Bounds(min_length=1, max_length=2000)]
_NAME_FORM = form(r"^[a-z0-9][a-z0-9_]{0,47}$")
Name = Annotated[str, _NAME_FORM]
NameOnce = Annotated[str, FormOnce(_NAME_FORM)]
"""A name that stands in records thousands of times."""
Initials = Annotated[str, form(r"^[A-Z]{2,4}$")]
Pain = Annotated[int, Bounds(ge=0, le=10)]
Side = Literal["left", "right"]
PositionDeg = Annotated[int, Bounds(ge=0, le=90)]

POSITION_KEYS = ("position", "position_deg")
"""A position stands under the key `position`; in files of format 1, under `position_deg`."""
POSITION_KEY = AlsoUnder(POSITION_KEYS)
POSITION_CAP_KEY = AlsoUnder(("position_cap", "position_cap_deg"))
PositionNameOnly = Annotated[Name, AlsoAs(Name | PositionDeg, _name_of_degrees)]
"""The name of a position of an exercise, in a list or under another key than `position`."""
PositionName = Annotated[PositionNameOnly, POSITION_KEY]
"""The name of a position of an exercise, under the key `position`."""


def position_in_words(name: Name) -> str:
    """A position in the words of an error message: its degrees, where it is named by them, or else its name."""
    return f"{name} degrees" if name.isdecimal() else f"position {name}"


def named_position(name: Name) -> str:
    """A position in an error message that says there is none."""
    return f"position at {name} degrees" if name.isdecimal() else f"position {name}"


MOST_SETS = 6
SetNumber = Annotated[int, Bounds(ge=1, le=MOST_SETS)]
Repetitions = Annotated[int, Bounds(ge=1, le=30)]
DistanceCm = Annotated[int, Bounds(gt=0, le=1000)]

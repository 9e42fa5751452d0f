"""What a model expects at a path, in an editor's words: read from the models, so it cannot differ from them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from pydantic import AwareDatetime, BaseModel
from pydantic.fields import FieldInfo

KeyPath = tuple[str | int, ...]
Model = type[BaseModel]

# A form of text in words, by its pattern; a test sees to it that every pattern of the models has its words.
FORMS: Mapping[str, str] = {
    r"^[a-z0-9][a-z0-9_]{0,47}$": "a name of small letters, digits and _, at most 48 of them",
    r"^[A-Z]{2,4}$": "initials: 2 to 4 capital letters",
    r"^[a-z]{2}$": 'a language in two small letters, such as "en"',
    r"^\d{1,2}$": 'degrees as one or two digits, such as "45"',
    r"^[1-6]$": 'a set as one digit, "1" to "6"',
    r"^[a-z0-9_]+(\.[a-z0-9_]+)*$": "names joined by dots",
}
_SINGULAR: Mapping[Any, str] = {
    int: "a whole number",
    float: "a number",
    str: "text in quotes",
    bool: "true or false",
    date: "a date such as 2026-03-04",
    AwareDatetime: "a date and time with its offset, such as 2026-03-04T18:05:00+01:00",
    NoneType: "nothing",
}
_PLURAL: Mapping[Any, str] = {
    int: "whole numbers",
    float: "numbers",
    str: "texts in quotes",
    bool: "true or false values",
    date: "dates",
}


@dataclass(frozen=True)
class Expected:
    """A kind of value with what binds it."""

    kind: Any
    bounds: Mapping[str, Any] = field(default_factory=dict)

    @property
    def model(self) -> Model | None:
        """The model where a table is expected."""
        return self.kind if isinstance(self.kind, type) and issubclass(self.kind, BaseModel) else None

    @property
    def choices(self) -> tuple[Any, ...]:
        """The values to choose from, where there are such."""
        return get_args(self.kind) if get_origin(self.kind) is Literal else ()

    @property
    def members(self) -> tuple["Expected", ...]:
        """The kinds of value that are all right here, where there is more than one."""
        if get_origin(self.kind) not in (Union, UnionType):
            return ()
        return tuple(expected(member) for member in get_args(self.kind) if member is not NoneType)

    @property
    def items(self) -> "Expected | None":
        """What a list holds."""
        return expected(get_args(self.kind)[0]) if get_origin(self.kind) is tuple else None

    @property
    def named(self) -> tuple["Expected", "Expected"] | None:
        """What a table with free keys holds: its keys and its values."""
        if get_origin(self.kind) is not dict:
            return None
        key, value = get_args(self.kind)
        return expected(key), expected(value)


def expected(annotation: Any, *metadata: Any) -> Expected:
    """An annotation without its wrappers, and with the bounds they held."""
    bounds: dict[str, Any] = {}
    while get_origin(annotation) is Annotated:
        annotation, *wraps = get_args(annotation)
        metadata = (*wraps, *metadata)
    for item in metadata:
        for inner in item.metadata if isinstance(item, FieldInfo) else (item,):
            for name in ("ge", "gt", "le", "lt", "min_length", "max_length", "pattern"):
                if getattr(inner, name, None) is not None:
                    bounds[name] = getattr(inner, name)
    if get_origin(annotation) in (Union, UnionType):
        members = [member for member in get_args(annotation) if member is not NoneType]
        if len(members) == 1:
            inside = expected(members[0])
            return Expected(inside.kind, {**inside.bounds, **bounds})
    return Expected(annotation, bounds)


def fields(model: Model) -> dict[str, Expected]:
    """What a model expects under each of its keys."""
    hints = get_type_hints(model, include_extras=True)
    return {name: expected(hints[name], *info.metadata) for name, info in model.model_fields.items()}


def at(model: Model, path: KeyPath, data: object) -> Expected | None:
    """What is expected at a path, or None where nothing is. `data` settles which of several tables it is."""
    here: Expected | None = Expected(model)
    for part in path:
        here = _inside(_settled(here, data), part) if here is not None else None
        data = item(data, part)
    return here


def _settled(here: Expected, data: object) -> Expected:
    """Of several kinds of table, the one whose fixed key has the value in the data."""
    for member in here.members:
        for name, wanted in (fields(member.model) if member.model else {}).items():
            if len(wanted.choices) == 1 and isinstance(data, Mapping) and data.get(name) == wanted.choices[0]:
                return member
    return here


def _inside(here: Expected, part: str | int) -> Expected | None:
    if here.model is not None:
        return fields(here.model).get(str(part))
    if here.items is not None:
        return here.items
    return here.named[1] if here.named is not None else None


def has(data: object, part: str | int) -> bool:
    """Whether a table has this key, or a list this item."""
    if isinstance(data, Mapping):
        return part in data
    return isinstance(data, tuple) and isinstance(part, int) and 0 <= part < len(data)


def item(data: Any, part: str | int) -> object:
    """What stands under a key of a table or at a place of a list; None where nothing does."""
    return data[part] if has(data, part) else None


def described(here: Expected) -> str:
    """The expectation in words: "a whole number from 1 to 6"."""
    if here.members:
        return ", or ".join(dict.fromkeys(described(member) for member in here.members))
    if here.choices:
        return ("one of " if len(here.choices) > 1 else "") + ", ".join(written(choice) for choice in here.choices)
    if here.model is not None:
        return f"a table with the keys {', '.join(here.model.model_fields)}"
    if here.items is not None:
        return _a_list(here)
    if here.named is not None:
        return f"a table; each key {described(here.named[0])}, each value {described(here.named[1])}"
    if "pattern" in here.bounds:
        return FORMS.get(here.bounds["pattern"], f"text of the form {here.bounds['pattern']}")
    return _SINGULAR.get(here.kind, "another kind of value") + _within(here.bounds)


def _a_list(here: Expected) -> str:
    inner = here.items
    assert inner is not None
    least = here.bounds.get("min_length", 0)
    most = here.bounds.get("max_length")
    count = f", at least {least}" if least else ""
    count += f", at most {most}" if most is not None else ""
    if inner.model is not None:
        return f"a list of tables, each with the keys {', '.join(inner.model.model_fields)}{count}"
    if inner.kind in _PLURAL and "pattern" not in inner.bounds:
        return f"a list of {_PLURAL[inner.kind]}{_within(inner.bounds)}{count}"
    return f"a list{count}; each is {described(inner)}"


def _within(bounds: Mapping[str, Any]) -> str:
    """The bounds of a number or of the length of a text, in words."""
    if "max_length" in bounds:
        return f" of {bounds.get('min_length', 0)} to {bounds['max_length']} characters"
    low, high = bounds.get("ge"), bounds.get("le")
    above, below = bounds.get("gt"), bounds.get("lt")
    if low is not None and high is not None:
        return f" from {low} to {high}"
    parts = [f"{word} {bound}" for word, bound in (("above", above), ("at least", low)) if bound is not None]
    parts += [f"{word} {bound}" for word, bound in (("below", below), ("at most", high)) if bound is not None]
    return " " + " and ".join(parts) if parts else ""


def written(value: object) -> str:
    """A value as it would be written in TOML, near enough to be recognised."""
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)

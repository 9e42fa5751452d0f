"""What a model expects at a path, in plain words; derived from the models, so that the two cannot differ."""

from collections.abc import Mapping
from datetime import date, datetime
from types import NoneType, UnionType
from typing import Annotated, Any, ClassVar, Literal, Union, get_args, get_origin, get_type_hints

import msgspec
from msgspec import Struct, field

from coach.frozen import FormOnce, FromFile, pattern_of
from coach.toml.writer import toml_value

KeyPath = tuple[str | int, ...]
Model = type[FromFile]

TIME_OF_DAY = r"^([01]\d|2[0-3]):[0-5]\d$"
# What each pattern of the models means; a test checks that none is left out.
FORMS: Mapping[str, str] = {
    r"^[a-z0-9][a-z0-9_]{0,47}$": "a name of small letters, digits and _, at most 48 of them",
    r"^[A-Z]{2,4}$": "initials: 2 to 4 capital letters",
    r"^[a-z]{2}_[A-Z]{2}$": 'a language and a country, such as "de_DE" or "en_GB"',
    r"^[a-z]{2}$": 'a language in two small letters, such as "en"',
    r"^[ac-gi-lor-tw-z]$": "a small letter that is no other key: not b, h, m, n, p, q, u or v",
    r"^[a-z0-9]{8}$": "8 small letters and digits",
    TIME_OF_DAY: 'a time of day in quotes, from "00:00" to "23:59"',
    r"^(rule|check|sign|limit|condition|need|caution|test):[A-Za-z0-9_./:]+$": (
        'a kind and a name with ":" between them, such as "rule:pain_over_limit"; the kinds are rule, check, sign, '
        "limit, condition, need, caution and test"
    ),
    r"^[a-z_]+(\.([a-z0-9_]+|\*))+$": 'a file without its ending and a key in it, such as "safety.sign.lump"',
    r"^[^/\\\x00-\x1f]+\.toml$": 'the name of a file that ends in ".toml", without its folder',
    r"^[A-Za-z0-9][A-Za-z0-9 _-]{0,40}$": "a file name of letters without accents, digits, spaces, - and _",
    r"^[a-z0-9][a-z0-9_]{0,47}( \d{4}-\d\d-\d\d)?$": "the kind of a condition, alone or with its day",
    r"^[1-6]$": 'a set as one digit, "1" to "6"',
    r"^[a-z0-9_]+(?:\.[a-z0-9_]+)*$": "names joined by dots",
    r"^[0-9a-f]{64}$": "64 digits from 0 to f, such as a SHA-256",
    r"^[0-9a-f]{32}$": "32 digits from 0 to f",
    r"^[0-9a-f]{128}$": "128 digits from 0 to f",
    r"^([0-9a-f]{2})+$": "pairs of digits from 0 to f",
    r"^[a-z0-9]{24}$": "24 small letters and digits",
}
_SINGULAR: Mapping[Any, str] = {
    int: "a whole number",
    float: "a number",
    str: "text in quotes",
    bool: "true or false",
    date: "a date such as 2026-03-04",
    datetime: "a date and time with its offset, such as 2026-03-04T18:05:00+01:00",
    NoneType: "nothing",
}
_PLURAL: Mapping[Any, str] = {
    int: "whole numbers",
    float: "numbers",
    str: "texts in quotes",
    bool: "true or false values",
    date: "dates",
}


class Expected(Struct, frozen=True):
    """A kind of value and its bounds."""

    kind: Any
    bounds: Mapping[str, Any] = field(default_factory=dict)

    @property
    def model(self) -> Model | None:
        """The model, if a table is expected."""
        return self.kind if isinstance(self.kind, type) and issubclass(self.kind, FromFile) else None

    @property
    def is_number(self) -> bool:
        """Whether a number is expected."""
        return self.kind in (int, float)

    @property
    def choices(self) -> tuple[Any, ...]:
        """The values to choose from; empty for any other kind."""
        return get_args(self.kind) if get_origin(self.kind) is Literal else ()

    @property
    def members(self) -> tuple["Expected", ...]:
        """The kinds of value that are allowed; empty if there is only one."""
        if get_origin(self.kind) not in (Union, UnionType):
            return ()
        return tuple(expected(member) for member in get_args(self.kind) if member is not NoneType)

    @property
    def items(self) -> "Expected | None":
        """What each item of a list should be, if a list is expected."""
        return expected(get_args(self.kind)[0]) if get_origin(self.kind) is tuple else None

    @property
    def named(self) -> tuple["Expected", "Expected"] | None:
        """What the keys and the values of a table with free keys should be, if one is expected."""
        if get_origin(self.kind) is not dict:
            return None
        key, value = get_args(self.kind)
        names = self.bounds.get("names")
        return Expected(Literal[tuple(names)]) if names else expected(key), expected(value)


def expected(annotation: Any, *metadata: Any) -> Expected:
    """An annotation without its wrappers, with the bounds in their metadata."""
    bounds: dict[str, Any] = {}
    while get_origin(annotation) in (Annotated, ClassVar):
        annotation, *wraps = get_args(annotation)
        metadata = (*wraps, *metadata)
    for one in metadata:
        item = one.form if isinstance(one, FormOnce) else one
        for name in ("ge", "gt", "le", "lt", "min_length", "max_length", "names"):
            if getattr(item, name, None) is not None:
                bounds[name] = getattr(item, name)
        if isinstance(item, msgspec.Meta) and item.pattern is not None:
            bounds["pattern"] = pattern_of(item)
    if get_origin(annotation) in (Union, UnionType):
        members = [member for member in get_args(annotation) if member is not NoneType]
        if len(members) == 1:
            inside = expected(members[0])
            return Expected(inside.kind, {**inside.bounds, **bounds})
    return Expected(annotation, bounds)


def expected_fields(model: Model) -> dict[str, Expected]:
    """What a model expects under each of its keys."""
    hints = get_type_hints(model, include_extras=True)
    return {name: expected(hints[name]) for name in model.model_fields}


def expected_at(model: Model, path: KeyPath, data: object) -> Expected | None:
    """What is expected at a path; None if nothing is. `data` decides which of several kinds of table it is."""
    here: Expected | None = Expected(model)
    for part in path:
        here = _inside(_resolve(here, data), part) if here is not None else None
        data = item_at(data, part)
    return here


def _resolve(here: Expected, data: object) -> Expected:
    """Of several kinds of table, the one whose key with a fixed value has that value in the data."""
    for member in here.members:
        for name, wanted in (expected_fields(member.model) if member.model else {}).items():
            if len(wanted.choices) == 1 and isinstance(data, Mapping) and data.get(name) == wanted.choices[0]:
                return member
    return here


def _inside(here: Expected, part: str | int) -> Expected | None:
    if here.model is not None:
        return expected_fields(here.model).get(str(part))
    if here.items is not None:
        return here.items
    return here.named[1] if here.named is not None else None


def has_item(data: object, part: str | int) -> bool:
    """Whether a table has this key, or a list this index."""
    if isinstance(data, Mapping):
        return part in data
    return isinstance(data, tuple) and isinstance(part, int) and 0 <= part < len(data)


def item_at(data: Any, part: str | int) -> object:
    """The value of a key of a table or of an index of a list; None if there is none."""
    return data[part] if has_item(data, part) else None


def describe(here: Expected) -> str:
    """What is expected, in words: "a whole number from 1 to 6"."""
    if here.members:
        return ", or ".join(dict.fromkeys(describe(member) for member in here.members))
    if here.choices:
        return ("one of " if len(here.choices) > 1 else "") + ", ".join(toml_value(choice) for choice in here.choices)
    if here.model is not None:
        return f"a table with the keys {', '.join(here.model.model_fields)}"
    if here.items is not None:
        return _describe_list(here)
    if here.named is not None:
        return f"a table; each key {describe(here.named[0])}, each value {describe(here.named[1])}"
    if "pattern" in here.bounds:
        return FORMS.get(here.bounds["pattern"], f"text of the form {here.bounds['pattern']}")
    return _SINGULAR.get(here.kind, "another kind of value") + _describe_bounds(here.bounds)


def _describe_list(here: Expected) -> str:
    inner = here.items
    assert inner is not None
    least = here.bounds.get("min_length", 0)
    most = here.bounds.get("max_length")
    count = f", at least {least}" if least else ""
    count += f", at most {most}" if most is not None else ""
    if inner.model is not None:
        return f"a list of tables, each with the keys {', '.join(inner.model.model_fields)}{count}"
    if inner.kind in _PLURAL and "pattern" not in inner.bounds:
        return f"a list of {_PLURAL[inner.kind]}{_describe_bounds(inner.bounds)}{count}"
    return f"a list{count}; each is {describe(inner)}"


def _describe_bounds(bounds: Mapping[str, Any]) -> str:
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

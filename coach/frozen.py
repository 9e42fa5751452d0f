"""The base class of what is read from files: frozen, quick to define and to build.

A class says once what a file holds: types, bounds, descriptions and checks. A file that fits is built by msgspec,
which costs a session little at its start. For one that does not, and for the schemas, `coach.toml.explained` makes
models of pydantic from the same classes, which say what is wrong and where.
"""

import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from contextvars import ContextVar
from datetime import date, datetime, time
from operator import attrgetter
from typing import (
    Annotated,
    Any,
    ClassVar,
    Literal,
    Self,
    TypeVar,
    dataclass_transform,
    get_args,
)

import msgspec

from coach.control_characters import is_control

Bounds = msgspec.Meta
"""Bounds of a value inside Annotated: ge, gt, le, lt, min_length, max_length."""
AwareDatetime = Annotated[datetime, Bounds(tz=True)]

_Kind = TypeVar("_Kind")
_MISSING: Any = object()
_DATES = (date, datetime, time)
_AS_VALUES = 1  # annotationlib.Format.VALUE
# Asked of every field of every class at each start: the type of an annotation is checked sooner than its attributes.
_ANNOTATED: Any = type(Annotated[int, 0])
_GENERIC: Any = type(ClassVar[int])
_MOST_SEEN = 4096  # our own choice, no source: far above what the content can ask, and no memory to speak of
_AT_THE_END = r"(?!\n)"


def form(pattern: str, max_length: int | None = None) -> msgspec.Meta:
    """The form of a text inside Annotated: a regular expression from ^ to $, where $ is the very end."""
    return Bounds(pattern=pattern + _AT_THE_END, max_length=max_length)


def pattern_of(meta: msgspec.Meta) -> str | None:
    """The regular expression of a form, as it was given."""
    return None if meta.pattern is None else meta.pattern.removesuffix(_AT_THE_END)


class EveryName(msgspec.Struct, frozen=True):
    """Inside Annotated, of a dict: a table that must have a key for each of `names`, or of its own Literal."""

    names: tuple[str, ...] | None = None


class AlsoUnder(msgspec.Struct, frozen=True):
    """Inside Annotated: the keys under which a field may stand, that of today first."""

    keys: tuple[str, ...]


class AlsoAs(msgspec.Struct, frozen=True):
    """Inside Annotated: a value may also be of another kind, which `convert` turns into the right one."""

    kinds: Any
    convert: Callable[[object], object]


class FormOnce(msgspec.Struct, frozen=True):
    """Inside Annotated, of a str: its form, which the class checks once for each different text.

    For texts of which a few come in thousands: msgspec would match each of them again, which took longer than all
    the rest of its work. Whatever else such a field may hold must be hashable.
    """

    form: msgspec.Meta


class FieldInfo(msgspec.Struct, frozen=True):
    """One field of a class: its annotation, its default and what `Field` says it is for.

    `tag`: it tells the class from others.
    """

    annotation: Any
    default: Any
    given_description: str = ""
    tag: bool = False

    @property
    def is_required(self) -> bool:
        """Whether a file must have the key."""
        return self.default is _MISSING

    @property
    def description(self) -> str:
        """What the field is for, by `Field` or else by its annotation; empty where neither says."""
        described = (one.description for one in _metadata(self.annotation) if isinstance(one, msgspec.Meta))
        return self.given_description or next((one for one in described if one), "")


class _Given(msgspec.Struct, frozen=True):
    default: Any
    description: str


def Field(*, default: Any = _MISSING, description: str = "") -> Any:
    """The default and the description of a field. A name in capitals, as it stands where a value would."""
    return _Given(default, description)


def check(method: Callable[[Any], None]) -> Callable[[Any], None]:
    """Mark a method that is called when all fields fit. Raises ValueError, "what is wrong: what to do"."""
    method.__is_check__ = True  # type: ignore[attr-defined]
    return method


class Unfit(ValueError):
    """Data does not fit a class."""


class _Described(msgspec.StructMeta):
    """Turns the fields of a class into those of a struct, and keeps what they are for."""

    def __new__(mcs, name: str, bases: tuple[type, ...], namespace: dict[str, Any], **config: Any) -> Any:
        """The struct, with `model_fields` in the order of the file and `_checks` in that of their definition."""
        inherited: dict[str, FieldInfo] = {}
        checks: tuple[str, ...] = ()
        for base in bases:
            inherited |= getattr(base, "model_fields", {})
            checks += getattr(base, "_checks", ())
        own = {key: _described(key, kind, namespace) for key, kind in _annotations_in(namespace).items()}
        fields = inherited | {key: info for key, info in own.items() if info is not None}
        tagged = next(((key, info.default) for key, info in fields.items() if info.tag), None)
        if tagged is not None:
            config = {"tag_field": tagged[0], "tag": tagged[1], **config}
        namespace["model_fields"] = fields
        own_checks = [key for key, value in namespace.items() if hasattr(value, "__is_check__")]
        namespace["_checks"] = (*(key for key in checks if key not in own_checks), *own_checks)
        namespace["_complete"] = {key: names for key, info in fields.items() if (names := names_due(info.annotation))}
        once: tuple[str, ...] = namespace.get("checked_once", ())
        for base in bases:
            once += getattr(base, "checked_once", ())
        namespace["checked_once"] = once
        forms = {key: form for key in once if (form := form_once(fields[key].annotation)) is not None}
        checked = namespace["_checks"] or namespace["_complete"]
        made: list[Callable[[Any], None]] = [_run_checks] if checked else []
        made += [_check_of_forms(forms)] if forms else []
        if made:
            namespace["__post_init__"] = made[0] if len(made) == 1 else _one_after_other(*made)
        config = {"frozen": True, "kw_only": True, "forbid_unknown_fields": True, **config}
        return super().__new__(mcs, name, bases, namespace, **config)


def _annotations_in(namespace: Mapping[str, Any]) -> Mapping[str, Any]:
    """The annotations of a class that is being made; from Python 3.14 on they are made when they are asked for."""
    if "__annotations__" in namespace:
        found: Mapping[str, Any] = namespace["__annotations__"]
        return found
    make = namespace.get("__annotate_func__", namespace.get("__annotate__"))
    return make(_AS_VALUES) if make is not None else {}


def _described(key: str, kind: Any, namespace: dict[str, Any]) -> FieldInfo | None:
    """What is known of a field; its default takes the place of what `Field` gave. None for what is no field."""
    if type(kind) is _GENERIC and kind.__origin__ is ClassVar:
        return FieldInfo(kind, namespace[key], tag=True) if key == "kind" else None
    given = namespace.get(key, _MISSING)
    if not isinstance(given, _Given):
        return FieldInfo(kind, given)
    if given.default is _MISSING:
        del namespace[key]
    else:
        namespace[key] = given.default
    return FieldInfo(kind, given.default, given.description)


def _metadata(annotation: Any) -> tuple[Any, ...]:
    """What Annotated says beside the type; nothing of any other annotation."""
    found: tuple[Any, ...] = getattr(annotation, "__metadata__", ())
    return found


def names_due(annotation: Any) -> tuple[str, ...]:
    """The names that a table must have, as its annotation says; none for anything else."""
    for one in annotation.__metadata__ if type(annotation) is _ANNOTATED else ():
        if isinstance(one, EveryName):
            return one.names if one.names is not None else get_args(get_args(annotation.__origin__)[0])
    return ()


def form_once(annotation: Any) -> msgspec.Meta | None:
    """The form of the texts in a field that is checked once for each of them; None of any other field."""
    for one in _metadata(annotation):
        if isinstance(one, FormOnce):
            return one.form
    return next((form for part in get_args(annotation) if (form := form_once(part)) is not None), None)


_unchecked = ContextVar("_unchecked", default=False)
_is_read = ContextVar("_is_read", default=False)


def _run_checks(self: "FromFile") -> None:
    if not _unchecked.get():
        for key, names in self._complete.items():
            if getattr(self, key).keys() != set(names):
                raise ValueError(f"{key} lacks a name")
        for name in self._checks:
            getattr(self, name)()


def _one_after_other(first: Callable[[Any], None], second: Callable[[Any], None]) -> Callable[[Any], None]:
    def both(self: Any) -> None:
        first(self)
        second(self)

    return both


def _check_of_forms(forms: Mapping[str, msgspec.Meta]) -> Callable[[Any], None]:
    """What checks the forms of the texts in these fields, when an object has been read; like msgspec, only then."""
    values_of, seen = attrgetter(*forms), set[object]()

    def check_forms(self: Any) -> None:
        values = values_of(self)
        if values in seen or not _is_read.get() or _unchecked.get():
            return
        for key, form in forms.items():
            if not all(_has_form(text, form) for text in _texts_in(getattr(self, key))):
                raise ValueError(f"{key} has a text that does not fit its form")
        if len(seen) < _MOST_SEEN:
            seen.add(values)

    return check_forms


def _has_form(text: str, form: msgspec.Meta) -> bool:
    fits = form.max_length is None or len(text) <= form.max_length
    return fits and (form.pattern is None or re.search(form.pattern, text) is not None)


def _texts_in(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from _texts_in(one)


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(Field,))
class FromFile(msgspec.Struct, metaclass=_Described, frozen=True, kw_only=True):
    """A frozen class of what a file holds. It takes no unknown key and converts no types when it is read."""

    model_fields: ClassVar[Mapping[str, FieldInfo]]
    optional_in_schema: ClassVar[tuple[str, ...]] = ()
    checked_once: ClassVar[tuple[str, ...]] = ()
    _checks: ClassVar[tuple[str, ...]]
    _complete: ClassVar[Mapping[str, tuple[str, ...]]]

    @classmethod
    def as_read(cls, given: Any) -> Any:
        """The data of a file with what it may leave out; as it is unless a class says otherwise."""
        return given

    @classmethod
    def as_now(cls, given: Any) -> Any:
        """The data of an older file with the keys of today; as it is unless a class says otherwise."""
        return given

    @classmethod
    def model_validate(cls, data: object, text_of: Callable[[str], str] | None = None, dates: bool = True) -> Self:
        """Data as an object of this class. Raises Unfit.

        `text_of` is applied to each text. `dates`: dates are dates and no texts.
        """
        try:
            return cls.of_clean(_plain(data, text_of), dates=dates)
        except RecursionError:
            raise Unfit("tables are nested too deeply") from None

    @classmethod
    def of_clean(cls, data: object, *, dates: bool = True) -> Self:
        """As `model_validate`, of data without control characters and without numbers that are not finite."""
        given, kinds = cls.as_read(data), _DATES if dates else None
        try:
            return _converted(given, cls, kinds)
        except msgspec.ValidationError:
            now = cls.as_now(given)
        try:
            return _converted(now, cls, kinds)
        except msgspec.ValidationError as error:
            raise Unfit(str(error)) from error

    @classmethod
    def model_construct(cls, **values: Any) -> Self:
        """An object of these values, without running the checks."""
        before = _unchecked.set(True)
        try:
            return cls(**values)
        finally:
            _unchecked.reset(before)

    def model_copy(self, *, update: Mapping[str, Any]) -> Self:
        """A copy with other values, without running the checks. Nothing cached is copied."""
        before = _unchecked.set(True)
        try:
            return msgspec.structs.replace(self, **update)
        finally:
            _unchecked.reset(before)

    def model_dump(
        self,
        *,
        mode: Literal["python", "json"] = "python",
        exclude: Collection[str] = (),
        exclude_none: bool = False,
        exclude_defaults: bool = False,
    ) -> dict[str, Any]:
        """The values by key, in the order of the file; those of `exclude` are left out on this level only.

        `mode`: as "json", dates are texts and tuples are lists.
        """
        dumped: dict[str, Any] = {}
        for name, info in self.model_fields.items():
            value = getattr(self, name)
            if name in exclude or (exclude_none and value is None) or (exclude_defaults and value == info.default):
                continue
            dumped[name] = _dumped(value, exclude_none, exclude_defaults)
        return dumped if mode == "python" else msgspec.to_builtins(dumped, enc_hook=_exact)

    def as_written(self, *, exclude: Collection[str] = ()) -> dict[str, Any]:
        """The values as a file has them. Raises Unfit where the file could not be read again: it is not written."""
        values = self.model_dump(exclude_none=True)
        type(self).model_validate(values)
        return {key: value for key, value in values.items() if key not in exclude}

    def model_dump_json(self, *, exclude_defaults: bool = False) -> str:
        """The values as JSON."""
        return as_json(self.model_dump(exclude_defaults=exclude_defaults)).decode()


def _converted(given: Any, kind: type[_Kind], dates: tuple[type, ...] | None) -> _Kind:
    before = _is_read.set(True)
    try:
        return msgspec.convert(given, kind, builtin_types=dates)
    finally:
        _is_read.reset(before)


def as_json(value: object) -> bytes:
    """An object of a class, or values of it, as JSON: the same bytes for the same values."""
    return msgspec.json.encode(value, enc_hook=_exact)


def _exact(value: object) -> str:
    """A text that knows its language, as a text. Raises TypeError for anything else."""
    if isinstance(value, str):
        return str(value)
    raise TypeError(f"a {type(value).__name__} is no value of a file")


def _dumped(value: Any, exclude_none: bool, exclude_defaults: bool) -> Any:
    if isinstance(value, FromFile):
        return value.model_dump(exclude_none=exclude_none, exclude_defaults=exclude_defaults)
    if isinstance(value, tuple):
        return tuple([_dumped(one, exclude_none, exclude_defaults) for one in value])
    if isinstance(value, dict):
        return {
            key: _dumped(one, exclude_none, exclude_defaults)
            for key, one in value.items()
            if one is not None or not exclude_none
        }
    return value


def _plain(value: Any, text_of: Callable[[str], str] | None) -> Any:
    """A copy of the data, each text as wanted. Raises Unfit for a control character and for a number not finite."""
    kind = type(value)
    if kind is str:
        if not value.isprintable() and any(map(is_control, value)):
            raise Unfit("a text holds a control character")
        return value if text_of is None else text_of(value)
    if kind is dict:
        return {key: _plain(one, text_of) for key, one in value.items()}
    if kind is tuple or kind is list:
        return [_plain(one, text_of) for one in value]
    if kind is float and not math.isfinite(value):
        raise Unfit("a number is not finite")
    return value

"""Why data does not fit a class: the same class as a model of pydantic, which says what is wrong and where.

It also gives the JSON Schema of the class. Nothing of this is loaded as long as files fit.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from types import UnionType
from typing import Annotated, Any, ClassVar, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

import msgspec
import pydantic
from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, ValidationError, ValidationInfo
from pydantic_core import core_schema

from coach.control_characters import is_control
from coach.frozen import AlsoAs, AlsoUnder, EveryName, FieldInfo, FormOnce, FromFile, pattern_of

Model = TypeVar("Model", bound=FromFile)

_NUMBERS = ("ge", "gt", "le", "lt", "min_length", "max_length")


def explained(
    data: object, model: type[Model], text_of: Callable[[str], str] | None = None
) -> Model | ValidationError:
    """Data as an object of a class, or everything that keeps it from being one."""
    try:
        found = model_of(model).model_validate(data, context=text_of)
    except ValidationError as error:
        return error
    assert isinstance(found, model)
    return found


@cache
def model_of(kind: type[FromFile]) -> type[BaseModel]:
    """A model of pydantic with the fields, bounds and checks of a class; what it validates is of the class itself."""

    def built(given: Any, handler: Any) -> Any:
        if isinstance(given, kind):
            return given
        found = handler(kind.as_read(given))
        return kind(**{name: getattr(found, name) for name in kind.__struct_fields__})

    around: Any = pydantic.model_validator(mode="wrap")
    hints = get_type_hints(kind, include_extras=True)
    fields: dict[str, Any] = {name: _field(hints[name], info) for name, info in kind.model_fields.items()}
    return pydantic.create_model(
        kind.__name__,
        __config__=ConfigDict(
            frozen=True,
            extra="forbid",
            strict=True,
            allow_inf_nan=False,
            protected_namespaces=(),
            json_schema_extra=_without(kind.optional_in_schema),
        ),
        __doc__=kind.__doc__,
        __module__=kind.__module__,
        __validators__={"built": around(built)},
        **fields,
    )


def _without(optional: tuple[str, ...]) -> Callable[[dict[str, Any]], None] | None:
    def take_out(schema: dict[str, Any]) -> None:
        schema["required"] = [key for key in schema["required"] if key not in optional]

    return take_out if optional else None


def _field(hint: Any, info: FieldInfo) -> tuple[Any, Any]:
    """The annotation and the rest of a field, as pydantic wants them."""
    described: dict[str, Any] = {"description": info.description} if info.description else {}
    if info.is_required:
        return _kind_of(hint), pydantic.Field(**described)
    if isinstance(info.default, FromFile):  # it is left out of the schema, as an editor has no use for it
        return _kind_of(hint), pydantic.Field(default_factory=lambda: info.default, **described)
    return _kind_of(hint), pydantic.Field(default=info.default, **described)


def _kind_of(hint: Any) -> Any:
    """An annotation with models in place of classes, and bounds as pydantic knows them."""
    origin, inside = get_origin(hint), get_args(hint)
    if origin is ClassVar:
        return _kind_of(inside[0])
    if origin is Annotated:
        kind = _kind_of(inside[0])
        for one in inside[1:]:
            kind = _bounded(kind, one)
        return kind
    if origin is Literal or hint in (Any, Ellipsis):
        return hint
    if origin in (Union, UnionType):
        members = tuple(map(_kind_of, inside))
        tagged = [one for one in inside if "kind" in getattr(one, "model_fields", {})]
        kind = Union[members]  # noqa: UP007  the members are known only here
        return Annotated[kind, pydantic.Field(discriminator="kind")] if len(tagged) > 1 else kind
    if origin is not None:
        return origin[tuple(map(_kind_of, inside))]
    return model_of(hint) if isinstance(hint, type) and issubclass(hint, FromFile) else hint


def _bounded(kind: Any, bound: object) -> Any:
    if isinstance(bound, AlsoAs):
        before = pydantic.BeforeValidator(bound.convert, json_schema_input_type=_kind_of(bound.kinds))
        return Annotated[kind, before]
    if isinstance(bound, AlsoUnder):
        return Annotated[kind, pydantic.Field(validation_alias=pydantic.AliasChoices(*bound.keys))]
    if isinstance(bound, EveryName):
        return Annotated[kind, _EveryName(bound.names or get_args(get_args(kind)[0]))]
    if isinstance(bound, FormOnce):
        return _bounded(kind, bound.form)
    if not isinstance(bound, msgspec.Meta):
        return kind
    if kind is datetime:
        return pydantic.AwareDatetime
    if kind is str and bound.pattern is None:
        return Annotated[str, _Text(bound.min_length or 0, bound.max_length)]
    given = {name: getattr(bound, name) for name in _NUMBERS if getattr(bound, name) is not None}
    pattern = pattern_of(bound)
    if pattern is not None:
        given["pattern"] = pattern
        return Annotated[kind, pydantic.Field(**given), pydantic.AfterValidator(_refuse_control_characters)]
    return Annotated[kind, pydantic.Field(**given)] if given else kind


def _only_text(text: str, info: ValidationInfo) -> str:
    """Refuse control characters. The context of the validation is what is applied to each text."""
    _refuse_control_characters(text)
    return info.context(text) if info.context is not None else text


def _refuse_control_characters(text: str) -> str:
    if "\t" in text:
        raise ValueError("holds a tab; write a space instead")
    if "\n" in text:
        raise ValueError("holds a line break; write the text on one line")
    for character in text:
        if is_control(character):
            raise ValueError(f"holds the control character U+{ord(character):04X}; write plain text on one line")
    return text


@dataclass(frozen=True)
class _Text:
    """Annotation of a str without control characters, with a length between these bounds."""

    min_length: int
    max_length: int | None

    def __get_pydantic_core_schema__(self, *_: object) -> core_schema.CoreSchema:
        text = core_schema.str_schema(min_length=self.min_length, max_length=self.max_length)
        return core_schema.with_info_after_validator_function(_only_text, text)


@dataclass(frozen=True)
class _EveryName:
    """Annotation of a dict that must have a key for each of `names`, and no other."""

    names: tuple[str, ...]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        """A typed dict, so that a missing key is reported like a missing field of a model."""
        value = get_args(source)[1]
        fields = {name: core_schema.typed_dict_field(handler(value), required=True) for name in self.names}
        return core_schema.typed_dict_schema(fields, extra_behavior="forbid")

"""The base class of every model, and the types of values that several models have."""

from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeVar, get_args

import pydantic
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler, ValidationInfo
from pydantic_core import core_schema

from coach.control_characters import is_control
from coach.model.message_format import Language, LocalizedLine


class Frozen(BaseModel):
    """A frozen model that takes no unknown key and converts no types."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False, protected_namespaces=())


def _only_text(text: str, info: ValidationInfo) -> str:
    """Refuse control characters. The validation context is the language of the file, if it has one."""
    if text.isprintable():  # false for any control character
        return LocalizedLine(text, info.context) if isinstance(info.context, Language) else text
    for character, name in (("\t", "a tab; write a space"), ("\n", "a line break; write the text on one line")):
        if character in text:
            raise ValueError(f"holds {name} instead" if character == "\t" else f"holds {name}")
    for character in text:
        if is_control(character):
            raise ValueError(f"holds the control character U+{ord(character):04X}; write plain text on one line")
    return text


@dataclass(frozen=True)
class Text:
    """Annotation of a str without control characters, with a length between these bounds."""

    max_length: int
    min_length: int = 1

    def __get_pydantic_core_schema__(self, *_: object) -> core_schema.CoreSchema:
        """The core schema itself: pydantic would need longer to derive it, for hundreds of fields at each start."""
        text = core_schema.str_schema(min_length=self.min_length, max_length=self.max_length)
        return core_schema.with_info_after_validator_function(_only_text, text)


@dataclass(frozen=True)
class EveryName:
    """Annotation of a dict: a table that must have a key for each of `names`, or of its own Literal, and no other."""

    names: tuple[str, ...] | None = None

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        """A typed dict, so that a missing key is reported like a missing field of a model."""
        key, value = get_args(source)
        names = get_args(key) if self.names is None else self.names
        fields = {name: core_schema.typed_dict_field(handler(value), required=True) for name in names}
        return core_schema.typed_dict_schema(fields, extra_behavior="forbid")


Key = TypeVar("Key")
Value = TypeVar("Value")
# Messages that code asks for by name. The Literal declares the names, and a file that lacks one is refused.
Complete = Annotated[dict[Key, Value], EveryName()]
Line = Annotated[str, Text(400)]
Lines = Annotated[str, Text(2000)]
Name = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9_]{0,47}$")]
Initials = Annotated[str, Field(pattern=r"^[A-Z]{2,4}$")]
Pain = Annotated[int, Field(ge=0, le=10)]
Side = Literal["left", "right"]
PositionDeg = Annotated[int, Field(ge=0, le=90)]


def _name_of_degrees(given: object) -> object:
    """Files of format 1 name a position by its degrees of abduction, as a number."""
    return str(given) if type(given) is int else given


POSITION_KEYS = ("position", "position_deg")
"""A position stands under the key `position`; in files of format 1, under `position_deg`."""
POSITION_KEY = Field(validation_alias=pydantic.AliasChoices(*POSITION_KEYS))
POSITION_CAP_KEY = Field(validation_alias=pydantic.AliasChoices("position_cap", "position_cap_deg"))
PositionNameOnly = Annotated[Name, BeforeValidator(_name_of_degrees, json_schema_input_type=Name | PositionDeg)]
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
SetNumber = Annotated[int, Field(ge=1, le=MOST_SETS)]
Repetitions = Annotated[int, Field(ge=1, le=30)]
DistanceCm = Annotated[int, Field(gt=0, le=1000)]

"""What every model shares: frozen, strict, no unknown key, and text that is only text."""

import unicodedata
from dataclasses import dataclass
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo
from pydantic_core import core_schema

from coach.model.message_format import Language, LineIn

# Bidirectional marks can make a line read differently from what it holds.
_BIDIRECTIONAL = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


class Frozen(BaseModel):
    """A value that is written in a file or happens in a session; never changed in place."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False, protected_namespaces=())


def is_control(character: str) -> bool:
    """Whether a terminal would act on a character, or on the order of its neighbours, instead of showing it."""
    return unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp") or character in _BIDIRECTIONAL


def _only_text(text: str, info: ValidationInfo) -> str:
    """Refuse what a terminal would act on instead of showing; the context is the language of the file, if any."""
    if text.isprintable():  # none of the marks is; most lines end here
        return LineIn(text, info.context) if isinstance(info.context, Language) else text
    for character in text:
        if is_control(character):
            raise ValueError(f"holds the control character U+{ord(character):04X}; write plain text on one line")
    return text


@dataclass(frozen=True)
class Text:
    """Marks a text that is only text, of at least one and at most so many characters."""

    max_length: int
    min_length: int = 1

    def __get_pydantic_core_schema__(self, *_: object) -> core_schema.CoreSchema:
        """Said to pydantic in its own terms: hundreds of lines are texts, and asking it to find out costs a start."""
        text = core_schema.str_schema(min_length=self.min_length, max_length=self.max_length)
        return core_schema.with_info_after_validator_function(_only_text, text)


Line = Annotated[str, Text(400)]
Lines = Annotated[str, Text(2000)]
Name = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9_]{0,47}$")]
Initials = Annotated[str, Field(pattern=r"^[A-Z]{2,4}$")]
Pain = Annotated[int, Field(ge=0, le=10)]
PositionDeg = Annotated[int, Field(ge=0, le=90)]
MOST_SETS = 6
SetNumber = Annotated[int, Field(ge=1, le=MOST_SETS)]
Repetitions = Annotated[int, Field(ge=1, le=30)]
DistanceCm = Annotated[int, Field(gt=0, le=1000)]

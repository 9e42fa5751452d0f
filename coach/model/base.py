"""What every model shares: frozen, strict, no unknown key, and text that is only text."""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationInfo

from coach.model.language import ENGLISH, Language, LineIn, language_of

# Bidirectional marks can make a line read differently from what it holds.
_BIDIRECTIONAL = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_PLACE = re.compile(r"\{(\w+)((?:\|[^{}|]*)*)\}")
_DATE = re.compile(r"(\d{4}-\d\d-\d\d)(?: (\d\d:\d\d))?")
_DECIMAL = re.compile(r"([+-]?\d+)\.(\d+)")


class Frozen(BaseModel):
    """A value that is written in a file or happens in a session; never changed in place."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


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


Line = Annotated[str, Field(min_length=1, max_length=400), AfterValidator(_only_text)]
Lines = Annotated[str, Field(min_length=1, max_length=2000), AfterValidator(_only_text)]
Name = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9_]{0,47}$")]
Initials = Annotated[str, Field(pattern=r"^[A-Z]{2,4}$")]
Pain = Annotated[int, Field(ge=0, le=10)]
PositionDeg = Annotated[int, Field(ge=0, le=90)]


def fill(text: str, values: Mapping[str, object]) -> str:
    """Put values in the {named} places of a line, as its language writes them.

    {sets|set|sets} is the word that the count `sets` takes. Only plain names are places, so a line from a file
    cannot reach into an object. A name with no value stays as it is written, which shows the reader what is missing.
    """
    language = language_of(text)

    def put(place: re.Match[str]) -> str:
        name, forms = place[1], place[2].split("|")[1:]
        if name not in values:
            return place[0]
        return forms[min(language.form(str(values[name])), len(forms) - 1)] if forms else as_said(values[name], text)

    return _PLACE.sub(put, str(text))


def as_said(value: object, line: str) -> str:
    """A value as the language of a line writes it: the mark of a decimal number, and the order of a date.

    Values come as English writes them and files keep them, so that nothing but what a person reads is touched.
    """
    language, text = language_of(line), str(value)
    if language is ENGLISH:
        return text
    if decimal := _DECIMAL.fullmatch(text):
        return f"{decimal[1]}{language.decimal}{decimal[2]}"
    if day := _DATE.fullmatch(text):
        return language.on(day[1], day[2] or "")
    return text


def places(text: str) -> frozenset[str]:
    """The names that `fill` would look for in a line."""
    return frozenset(place[1] for place in _PLACE.finditer(text))


def counted(text: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The counts of a line whose word depends on them, each with the forms to choose from."""
    for place in _PLACE.finditer(text):
        if place[2]:
            yield place[1], tuple(place[2].split("|")[1:])

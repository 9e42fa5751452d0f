"""Lines with {named} places, and how a language writes what fills them: forms of a word, decimals and dates."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

_PLACE = re.compile(r"\{(\w+)((?:\|[^{}|]*)*)\}")
_DATE = re.compile(r"(\d{4}-\d\d-\d\d)(?: (\d\d:\d\d))?")
_DECIMAL = re.compile(r"([+-]?\d+)\.(\d+)")


@dataclass(frozen=True)
class Language:
    """`form`: which of the forms of a word, in the order of `forms`, a count takes. `on`: a date (2026-03-04), and
    a time (18:05) where there is one. Both take what is written in English."""

    name: str
    forms: tuple[str, ...]
    form: Callable[[str], int]
    decimal: str
    on: Callable[[str, str], str]


# Plural rule of English: Unicode CLDR, "one" where i = 1 and v = 0. Every other language is looked up there.
ENGLISH = Language(
    "en", ("one", "other"), lambda count: 0 if count == "1" else 1, ".", lambda day, time: f"{day} {time}".strip()
)


class LineIn(str):
    """A line that knows the language it is written for; a line of English is plain text."""

    __slots__ = ("language",)

    language: Language

    def __new__(cls, text: str, language: Language = ENGLISH) -> "LineIn":
        line = super().__new__(cls, text)
        line.language = language
        return line


def _language_of(line: str) -> Language:
    """The language in which a line is to be filled."""
    return line.language if isinstance(line, LineIn) else ENGLISH


def fill(text: str, values: Mapping[str, object]) -> str:
    """Put values in the {named} places of a line, as its language writes them.

    {sets|set|sets} is the word that the count `sets` takes. Only plain names are places, so a line from a file
    cannot reach into an object. A name with no value stays as it is written, which shows the reader what is missing.
    """
    language = _language_of(text)

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
    language, text = _language_of(line), str(value)
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


def stray_brace(text: str) -> bool:
    """Whether a line has a brace that is of no place: half of one would be shown as it is written."""
    return any(brace in _PLACE.sub("", text) for brace in "{}")


def counted(text: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The counts of a line whose word depends on them, each with the forms to choose from."""
    for place in _PLACE.finditer(text):
        if place[2]:
            yield place[1], tuple(place[2].split("|")[1:])

"""How a language writes what stands in a line: which form of a word a count takes, decimals and dates."""

from collections.abc import Callable
from dataclasses import dataclass


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


def language_of(line: str) -> Language:
    """The language in which a line is to be filled."""
    return line.language if isinstance(line, LineIn) else ENGLISH

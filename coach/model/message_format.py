"""Messages with {placeholders}, and how a language writes the values: plural forms, decimals and dates."""

import re
from collections.abc import Callable, Iterator, Mapping

from msgspec import Struct

_PLACEHOLDER = re.compile(r"\{(\w+)((?:\|[^{}|]*)*)\}")
_DATE = re.compile(r"(\d{4}-\d\d-\d\d)(?: (\d\d:\d\d))?")
_DECIMAL = re.compile(r"([+-]?\d+)\.(\d+)")
_AFTER_A_STOP = re.compile(r"(?<=\.) +(?=\S)")
_LETTER_ALONE = re.compile(r"(?<![\d}] )(?<![^\W_])[^\W\d_]\.$")  # and not the unit of a number


class Language(Struct, frozen=True):
    """How one language writes counts, decimals and dates.

    `forms` are the plural categories of Unicode CLDR that the language has, in order. `plural_index` gives the index
    of the category that a count takes. `format_date` writes a date (2026-03-04) and a time (18:05, or empty).
    """

    name: str
    forms: tuple[str, ...]
    plural_index: Callable[[str], int]
    decimal: str
    format_date: Callable[[str, str], str]


# The plural rule of English in Unicode CLDR: "one" if i = 1 and v = 0. Other languages are looked up when needed.
ENGLISH = Language(
    "en", ("one", "other"), lambda count: 0 if count == "1" else 1, ".", lambda day, time: f"{day} {time}".strip()
)


class LocalizedLine(str):
    """A message with the language that it is filled in; a message in English is a plain str."""

    __slots__ = ("language",)

    language: Language

    def __new__(cls, text: str, language: Language = ENGLISH) -> "LocalizedLine":
        """The text as a message in a language."""
        line = super().__new__(cls, text)
        line.language = language
        return line


def _language_of(message: str) -> Language:
    """The language in which a message is filled."""
    return message.language if isinstance(message, LocalizedLine) else ENGLISH


def fill(text: str, values: Mapping[str, object]) -> str:
    """A message with its {placeholders} replaced by the values, as its language writes them.

    {sets|set|sets} is replaced by the form of the word that the count `sets` takes. A placeholder is a plain name,
    so a message from a file cannot reach into an object. One without a value stays as written, so that the reader
    sees what is missing.
    """
    language = _language_of(text)

    def put(found: re.Match[str]) -> str:
        name, forms = found[1], found[2].split("|")[1:]
        if name not in values:
            return found[0]
        return (
            forms[min(language.plural_index(str(values[name])), len(forms) - 1)]
            if forms
            else localized(values[name], text)
        )

    return _PLACEHOLDER.sub(put, str(text))


def localized(value: object, message: str) -> str:
    """A value as the language of a message writes it: decimal separator and order of a date.

    Values are passed as English writes them, which is also how files store them: only what a person reads changes.
    """
    language, text = _language_of(message), str(value)
    if language is ENGLISH:
        return text
    if decimal := _DECIMAL.fullmatch(text):
        return f"{decimal[1]}{language.decimal}{decimal[2]}"
    if day := _DATE.fullmatch(text):
        return language.format_date(day[1], day[2] or "")
    return text


def sentences(text: str) -> tuple[str, ...]:
    """A message cut after each full stop that ends a sentence, each part in the language of the whole.

    One after a single letter ends none, as in "z. B." or "e.g.", and neither does one before a small letter or a
    digit, as in "ca. 10 cm".
    """
    language, start, found = _language_of(text), 0, list[str]()
    for gap in _AFTER_A_STOP.finditer(text):
        following = text[gap.end()]
        if not (following.islower() or following.isdigit() or _LETTER_ALONE.search(text[start : gap.start()])):
            found.append(text[start : gap.start()])
            start = gap.end()
    found.append(text[start:])
    return tuple(one if language is ENGLISH else LocalizedLine(one, language) for one in found)


def placeholders(text: str) -> frozenset[str]:
    """The names of the placeholders in a message."""
    return frozenset(found[1] for found in _PLACEHOLDER.finditer(text))


def stray_brace(text: str) -> bool:
    """Whether a message has a brace that belongs to no placeholder and would be shown as it is."""
    return any(brace in _PLACEHOLDER.sub("", text) for brace in "{}")


def plural_forms(text: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each placeholder that stands for a word in its plural form: the name of its count, and the forms."""
    for found in _PLACEHOLDER.finditer(text):
        if found[2]:
            yield found[1], tuple(found[2].split("|")[1:])

"""Which field of the form for a new client a fault belongs to; faults are found in the texts made from the form."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from coach.store.client_paths import PROFILE
from coach.store.therapist.intake import MEASURED_OF_FURTHER, ClientTexts
from coach.toml.diagnostic import Diagnostic

_KEY = re.compile(r"(\w+) =")
_FURTHER = "prescription.exercises."
_MEASURED = "profile.exercises."
_HOME, _STRENGTHS = "profile.home.", "profile.strengths."
_NAME = re.compile(r'^name = "(\w+)"$', re.MULTILINE)
# Keys that are no other word in a sentence, as "at" and "when" are.
_LISTS = ("bands", "positions", "activities")


def fields_of(fault: Diagnostic, texts: ClientTexts, given: Mapping[str, str]) -> tuple[str, ...]:
    """The keys of the form, as `client_texts` takes them, that a fault is about; none where it is about them all.

    This is the key on the line of the fault; where a value is missing, it is the key that the fault names.
    """
    file = "profile" if fault.path.name == PROFILE else "prescription"
    lines = (texts.profile if fault.path.name == PROFILE else texts.prescribed).split("\n")[: fault.line]
    head, every = _head(file, lines, given), given
    if not head.startswith(_FURTHER):
        given = {key: text for key, text in given.items() if not key.startswith(_FURTHER)}
    own = _KEY.match(lines[-1]) if lines else None
    if own is not None and f"{head}{own[1]}" in given:
        return (f"{head}{own[1]}",)
    if head.startswith(_MEASURED):  # its position and side are fields of the exercise itself
        return tuple(key for key, text in given.items() if key.startswith(head) and text.strip())
    named = _named(fault.what)
    inside = tuple(key for key in given if key.startswith(head) and key.rpartition(".")[2] in named)
    if not inside and own is None and head.startswith((_HOME, _STRENGTHS)):
        return tuple(key for key in _of_load(fault, texts, every, head) if key in every)
    return inside or tuple(key for key in given if key.startswith(f"{file}.") and named & set(key.split(".")))[:1]


def _named(what: str) -> set[str]:
    """The keys that a sentence names: its first word, and words that only a key can be."""
    words = re.findall(r"\w+", what)
    return {*words[:1], *(word for word in words if "_" in word or word in _LISTS)}


def _of_load(fault: Diagnostic, texts: ClientTexts, given: Mapping[str, str], head: str) -> Iterator[str]:
    """Where no load step may be used: the exercise, and what decides on its loads, the anchors or its strength."""
    name, _, _ = fault.what.partition(": ")  # where there are several exercises, they have names
    names = _NAME.findall(texts.prescribed)
    rows = dict.fromkeys(
        key.split(".")[2] for key, text in given.items() if key.startswith(_FURTHER) and text.strip()
    )
    number = dict(zip(names, ("", *rows), strict=False)).get(name, "")
    yield f"{_FURTHER}{number}.exercise" if number else "prescription.exercise"
    if head == _HOME:
        yield f"{_HOME}anchor_heights_cm"
    elif number:
        yield f"{_MEASURED}{number}.force_n"
    else:
        yield f"{head}force_n"


def _head(file: str, lines: Sequence[str], given: Mapping[str, str]) -> str:
    """The prefix of the keys in the table of the last line; rows of a list are numbered as in the form."""
    headers = [line for line in lines if line.startswith("[")]
    if not headers:
        return f"{file}."
    if headers[-1] == "[[exercises]]" and headers.count(headers[-1]) == 1:
        return f"{file}."
    table = f"{file}.{headers[-1].strip('[]')}."
    if not headers[-1].startswith("[["):
        return table
    rows = list(
        dict.fromkeys(key.split(".")[2] for key, text in given.items() if key.startswith(table) and text.strip())
    )
    rows = [f"{table}{row}." for row in rows]
    rows += [f"{_MEASURED}{number}." for number in _measured(headers[-1].strip("[]"), given)]
    first = 2 if table == _FURTHER else 1  # the first exercise has fields of its own
    return rows[headers.count(headers[-1]) - first]


def _measured(table: str, given: Mapping[str, str]) -> Iterable[str]:
    """The exercises after the first for which something of this list of the profile was typed, by their numbers."""
    keys = [key.split(".") for key, text in given.items() if key.startswith(_MEASURED) and text.strip()]
    return dict.fromkeys(number for _, _, number, name in keys if MEASURED_OF_FURTHER[name] == table)

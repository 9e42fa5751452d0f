"""Which field of a new client's form a fault is about: the form is made into texts, and faults are told of those."""

import re
from collections.abc import Mapping, Sequence

from coach.store.client_paths import PROFILE
from coach.store.therapist.intake import Texts
from coach.toml.diagnostic import Diagnostic

_KEY = re.compile(r"(\w+) =")


def fields_of(fault: Diagnostic, texts: Texts, given: Mapping[str, str]) -> tuple[str, ...]:
    """The keys of the form, as `texts_of` takes them, that the fault is about; none where it is about them all.

    The key of its own line is meant; where something is missing there is none, and the fault names it.
    """
    file = fault.path.stem
    lines = (texts.profile if fault.path.name == PROFILE else texts.prescription).split("\n")[: fault.line]
    head = _head(file, lines, given)
    own = _KEY.match(lines[-1]) if lines else None
    if own is not None and f"{head}{own[1]}" in given:
        return (f"{head}{own[1]}",)
    named = set(re.findall(r"\w+", fault.what))
    inside = tuple(key for key in given if key.startswith(head) and key.rpartition(".")[2] in named)
    return inside or tuple(key for key in given if key.startswith(f"{file}.") and named & set(key.split(".")))[:1]


def _head(file: str, lines: Sequence[str], given: Mapping[str, str]) -> str:
    """What the keys of the table begin with in which the last line stands; rows of a list are numbered as typed."""
    headers = [line for line in lines if line.startswith("[")]
    if not headers:
        return f"{file}."
    table = f"{file}.{headers[-1].strip('[]')}."
    if not headers[-1].startswith("[["):
        return table
    rows = list(
        dict.fromkeys(key.split(".")[2] for key, text in given.items() if key.startswith(table) and text.strip())
    )
    return f"{table}{rows[headers.count(headers[-1]) - 1]}."

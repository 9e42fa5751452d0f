"""A fault in a file, at its place, with what was expected and what to do."""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from coach.model.base import is_control

Read = TypeVar("Read")

_SHOWN = 100  # columns of a line that are shown around the fault
_TAB = 4
_OF_A_FILE = re.compile(
    r"add (it|a line|the table|a table)|take the (line|quotes)|write it without|put it in|move it|write its"
)
_INSTEAD = "\N{REPLACEMENT CHARACTER}"


@dataclass(frozen=True)
class Diagnostic:
    """One fault. Lines and columns count from 1, columns in characters; line 0 means the file as a whole.

    `text` is the line itself. Every text is made safe to show when a diagnostic is made, so nobody who
    shows one can forget it; each unsafe character gives way to exactly one other, so columns still hold.
    """

    path: Path
    line: int
    column: int
    text: str
    what: str
    expected: str = ""
    mend: str = ""
    nearest: str | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "text", shown(self.text, keep="\t"))
        for name in ("what", "expected", "mend"):
            object.__setattr__(self, name, shown(getattr(self, name)))
        if self.nearest is not None:
            object.__setattr__(self, "nearest", shown(self.nearest))


class FileFault(Exception):
    """One or more faults in files, in the order in which an editor would meet them."""

    def __init__(self, faults: Iterable[Diagnostic]) -> None:
        self.faults = in_order(faults)
        super().__init__("\n\n".join(render(fault) for fault in self.faults))


class Refusal(Exception):
    """One or more reasons why what was typed cannot be taken: it is in no file, so no reason has a place in one."""

    def __init__(self, faults: Iterable[Diagnostic]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(in_words(fault) for fault in self.faults))


def tried(read: Callable[[], Read], faults: list[Diagnostic]) -> Read | None:
    """What was read; or None, with the faults added to the others, so that all are said in one run."""
    try:
        return read()
    except FileFault as fault:
        faults += fault.faults
        return None


def in_order(faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """Sorted by file, then line, then column."""
    return tuple(sorted(faults, key=lambda fault: (str(fault.path), fault.line, fault.column)))


def whole_file(path: Path, what: str, expected: str = "", mend: str = "", nearest: str | None = None) -> Diagnostic:
    """A fault of the file as a whole: it is missing, too large, not text."""
    return Diagnostic(path, 0, 0, "", what, expected, mend, nearest)


def reason(error: OSError) -> str:
    """Why the system refused, in its own words."""
    return (error.strerror or str(error) or type(error).__name__).lower()


def shown(text: str, keep: str = "") -> str:
    """The text with every character that a terminal would act on replaced by U+FFFD, one for one."""
    if text.isprintable():  # none of those characters is printable
        return text
    return "".join(_INSTEAD if character not in keep and is_control(character) else character for character in text)


def shortened(text: str, columns: int = 40) -> str:
    """The text, or its beginning with an ellipsis."""
    return text if len(text) <= columns else text[: columns - 1] + "…"


def render(diagnostic: Diagnostic, shown_columns: int = _SHOWN) -> str:
    """The fault as plain text: place and what; the line with a caret; what was expected; what to do.

    Of a long line so many columns are shown, around the fault.
    """
    place = shown(str(diagnostic.path))
    if diagnostic.line == 0:
        return f"{place}: {in_words(diagnostic)}"
    place = f"{place}:{diagnostic.line}:{diagnostic.column}"
    return "\n".join((f"{place}: {diagnostic.what}", *_pointed(diagnostic, shown_columns), *_advice(diagnostic)))


def in_words(diagnostic: Diagnostic) -> str:
    """A fault without the place of a file, and without what only a file needs: what is expected says the rest."""
    of_a_file = diagnostic.line and _OF_A_FILE.match(diagnostic.mend)
    return "\n".join((diagnostic.what, *_advice(replace(diagnostic, mend="") if of_a_file else diagnostic)))


def _advice(diagnostic: Diagnostic) -> Iterator[str]:
    advice = {"expected": diagnostic.expected, "nearest": diagnostic.nearest, "to do": diagnostic.mend}
    return (f"  {label}: {text}" for label, text in advice.items() if text)


def _pointed(diagnostic: Diagnostic, shown_columns: int) -> tuple[str, str]:
    """The line, cut to a width that can be read, and under it a caret at the column."""
    at = max(diagnostic.column - 1, 0)
    start = 0 if at < shown_columns * 3 // 4 else at - shown_columns // 2
    end = start + shown_columns
    before = ("…" if start else "") + _untabbed(diagnostic.text[start:at])
    after = _untabbed(diagnostic.text[at:end]) + ("…" if end < len(diagnostic.text) else "")
    number = f"{diagnostic.line:>5} | "
    return (number + before + after).rstrip(), " " * 5 + " | " + " " * _columns(before) + "^"


def _untabbed(text: str) -> str:
    """Tabs as a fixed number of spaces, so that the caret stands right on any terminal."""
    return text.replace("\t", " " * _TAB)


def _columns(text: str) -> int:
    """Terminal columns of a text: wide characters take two, marks that join the one before take none."""
    return sum(_width(character) for character in text)


def _width(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1

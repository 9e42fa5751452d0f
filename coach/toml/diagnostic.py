"""A fault in a file with its position, what was expected and what to do."""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import force_setattr, replace

from coach.control_characters import is_control

Result = TypeVar("Result")

_SHOWN = 100  # characters of a line that are shown around the fault
_TAB = 4
_FILE_ADVICE = re.compile(
    r"add (it|a line|the table|a table)|take the (line|quotes)|write it without|put it in|move it|write its"
)
_WITHOUT_QUOTES = re.compile(r"take the quotes away: \S+ = (.+)")  # nobody typed any
_REPLACEMENT = "\N{REPLACEMENT CHARACTER}"


class Diagnostic(Struct, frozen=True):
    """One fault. Lines and columns count from 1, columns in characters; line 0 means the file as a whole.

    `text` is the line itself. Control characters are replaced when a diagnostic is made, so that it is always safe
    to show; each is replaced by one character, so columns still hold.

    `about` is the kind and the name of the entry that the fault concerns, such as ("limit", "pain_max"): faults about
    one entry have one cause. `also` are the other places that the same cause makes wrong. `newer`: the file is of a
    newer program, and there is nothing to mend in it.
    """

    path: Path
    line: int
    column: int
    text: str
    what: str
    expected: str = ""
    fix: str = ""
    nearest: str | None = None
    about: tuple[str, str] | None = None
    also: tuple[str, ...] = ()
    newer: bool = False

    def __post_init__(self) -> None:
        force_setattr(self, "text", printable(self.text, keep="\t"))
        force_setattr(self, "also", tuple(printable(place) for place in self.also))
        for name in ("what", "expected", "fix"):
            force_setattr(self, name, printable(getattr(self, name)))
        if self.nearest is not None:
            force_setattr(self, "nearest", printable(self.nearest))


class FileFault(Exception):
    """One or more faults in files, in order of file, line and column."""

    def __init__(self, faults: Iterable[Diagnostic]) -> None:
        self.faults = sort_faults(faults)
        super().__init__("\n\n".join(render(fault) for fault in self.faults))


class Refusal(Exception):
    """One or more reasons why input was refused. It is in no file, so its faults are shown without a position."""

    def __init__(self, faults: Iterable[Diagnostic]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(render_without_position(fault) for fault in self.faults))


def collect_faults(read: Callable[[], Result], faults: list[Diagnostic]) -> Result | None:
    """The result of `read`; or None, with its faults added to `faults`, so that all are reported together."""
    try:
        return read()
    except FileFault as fault:
        faults += fault.faults
        return None


def sort_faults(faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The faults by file, then line, then column."""
    return tuple(sorted(faults, key=lambda fault: (str(fault.path), fault.line, fault.column)))


def whole_file(path: Path, what: str, expected: str = "", fix: str = "", nearest: str | None = None) -> Diagnostic:
    """A fault of the file as a whole: it is missing, too large, or not text."""
    return Diagnostic(path, 0, 0, "", what, expected, fix, nearest)


def error_reason(error: OSError) -> str:
    """The operating system's reason for an error, in lower case."""
    return (error.strerror or str(error) or type(error).__name__).lower()


def printable(text: str, keep: str = "") -> str:
    """The text with each control character replaced by U+FFFD, but for those in `keep`."""
    if text.isprintable():  # no control character is printable
        return text
    return "".join(
        _REPLACEMENT if character not in keep and is_control(character) else character for character in text
    )


def shorten(text: str, columns: int = 40) -> str:
    """The text, or its beginning and an ellipsis if it has more characters than `columns`."""
    return text if len(text) <= columns else text[: columns - 1] + "…"


def render(diagnostic: Diagnostic, shown_columns: int = _SHOWN) -> str:
    """The fault as plain text: position and message; the line with a caret; what was expected; what to do.

    Of a long line `shown_columns` characters are shown, around the fault.
    """
    place = printable(str(diagnostic.path))
    if diagnostic.line == 0:
        return f"{place}: {render_without_position(diagnostic)}"
    place = f"{place}:{diagnostic.line}:{diagnostic.column}"
    return "\n".join((f"{place}: {diagnostic.what}", *_with_caret(diagnostic, shown_columns), *_advice(diagnostic)))


def render_without_position(diagnostic: Diagnostic) -> str:
    """The fault without its position, and without advice on how to write a file: for input that is in no file."""
    as_meant = _WITHOUT_QUOTES.fullmatch(diagnostic.fix) if diagnostic.line else None
    if as_meant is not None:
        diagnostic = replace(diagnostic, fix=f"write {as_meant[1]}")
    is_file_advice = diagnostic.line and _FILE_ADVICE.match(diagnostic.fix)
    return "\n".join((diagnostic.what, *_advice(replace(diagnostic, fix="") if is_file_advice else diagnostic)))


def _advice(diagnostic: Diagnostic) -> Iterator[str]:
    advice = {"expected": diagnostic.expected, "nearest": diagnostic.nearest, "to do": diagnostic.fix}
    advice["wrong as well because of this"] = ", ".join(diagnostic.also)
    return (f"  {label}: {text}" for label, text in advice.items() if text)


def _with_caret(diagnostic: Diagnostic, shown_columns: int) -> tuple[str, str]:
    """The line, shortened if it is long, and under it a caret at the column."""
    at = max(diagnostic.column - 1, 0)
    start = 0 if at < shown_columns * 3 // 4 else at - shown_columns // 2
    end = start + shown_columns
    before = ("…" if start else "") + _expand_tabs(diagnostic.text[start:at])
    after = _expand_tabs(diagnostic.text[at:end]) + ("…" if end < len(diagnostic.text) else "")
    number = f"{diagnostic.line:>5} | "
    return (number + before + after).rstrip(), " " * 5 + " | " + " " * _columns(before) + "^"


def _expand_tabs(text: str) -> str:
    """Tabs as a fixed number of spaces, so that the caret is in the right column on any terminal."""
    return text.replace("\t", " " * _TAB)


def _columns(text: str) -> int:
    """The width of a text in terminal columns: wide characters take two, combining marks none."""
    return sum(_width(character) for character in text)


def _width(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1

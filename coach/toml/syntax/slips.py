"""What is nearly a value, or a key: a yes, a number without its zero, one with a zero too many, a dash for _."""

import re
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from coach.toml.diagnostic import Diagnostic

_YES_NO = {"yes": "true", "no": "false", "on": "true", "off": "false", "ja": "true", "nein": "false"}
_DAY_FIRST = re.compile(r"\b(\d{1,2})[./-](\d{1,2})[./-](\d{4})\b")
_ZERO_FIRST = re.compile(r"[=\[,]\s*(?P<sign>[+-]?)0+(?P<number>\d+(?:\.\d+)?)\s*(?:[,\]#]|$)")
_WORDS = re.compile(r"\s+(?P<first>[^\W\d_]{2,})\b")


# Of a list of tables alone: the remedy of its keys that are written twice names its header.
_TWICE = re.compile(r"(?P<table>[\w.]+)\.\w+ is written twice, first in line \d+$")
_SEVERAL = 3  # our own choice: one or two keys that are written twice are told as such


class Slip(Struct, frozen=True):
    """What is wrong with it, what is expected, and what to do."""

    what: str
    expected: str
    fix: str
    nearest: str | None = None


def nearly_a_value(rest: str) -> Slip | None:
    """What is wrong where a value should begin, by the rest of the line; None if it is nearly nothing known."""
    if not rest.strip() or rest.lstrip().startswith("#"):
        return Slip("the value is missing", "key = value", "write the value after the =")
    word = re.match(r"([^\W\d_]+)\b", rest)
    if word is not None and word[1].lower() in _YES_NO:
        right = _YES_NO[word[1].lower()]
        return Slip(
            f"{word[1]} is not a value", "true or false", f'write {right}, or "{word[1]}" if a text is meant', right
        )
    if (number := re.match(r"([+-]?)(\.\d+)", rest)) is not None:
        right = f"{number[1]}0{number[2]}"
        return Slip("a number cannot begin with its point", f"a digit before it: {right}", f"write {right}", right)
    return None


def zero_or_comment(line: str, column: int) -> Slip | None:
    """What stands after a number, at a column: the rest of one with a zero too many, or a comment without its #."""
    zero = next((one for one in _ZERO_FIRST.finditer(line) if one.start() < column <= one.end()), None)
    if zero is not None:
        right = zero["sign"] + zero["number"]
        fraction = "" if "." in zero["number"] else f", or 0.{zero['number']} if that is meant"
        what = "a number cannot begin with a zero"
        return Slip(what, "a number without zeros before it", f"write {right}{fraction}")
    words = _WORDS.match(line[column - 2 :]) if column > 1 else None
    if words is not None and len(line[column - 1 :].split()) > 1:
        what = f"{words['first']!r} stands after the value"
        return Slip(what, "one key and one value on a line", "put # before it if it is a comment")
    return None


def lost_headers(faults: Sequence[Diagnostic]) -> list[Diagnostic]:
    """The faults; several keys of one table that are written twice, one below another, are a missing header."""
    kept: list[Diagnostic] = []
    run: list[Diagnostic] = []
    for fault in (*faults, None):
        last = _twice(run[-1]) if run else None
        if fault is not None and run and _twice(fault) is not None and _twice(fault) == last:
            run.append(fault)
            continue
        kept += [_header_missing(run)] if len(run) >= _SEVERAL else run
        run = [fault] if fault is not None else []
    return kept


def _twice(fault: Diagnostic) -> str | None:
    found = _TWICE.match(fault.what)
    return found["table"] if found is not None and f"[[{found['table']}]]" in fault.fix else None


def _header_missing(run: Sequence[Diagnostic]) -> Diagnostic:
    header = f"[[{_twice(run[0])}]]"
    what = f"the header {header} is missing above this"
    return replace(
        run[0], column=1, what=what, expected=header, fix=f"write {header} in the line above", nearest=header
    )


def dash_in_key(line: str) -> str:
    """The key of a line with _ for each dash."""
    return re.sub("[−–—]", "_", line.partition("=")[0].strip())


def date_year_first(line: str, column: int) -> str | None:
    """The date at a column as TOML writes it, where it was written with the day first; None where there is none."""
    day = next((one for one in _DAY_FIRST.finditer(line) if one.start() < column <= one.end()), None)
    return f"{day[3]}-{int(day[2]):02}-{int(day[1]):02}" if day is not None else None


def without_line(text: str, line: int) -> str | None:
    """The text with one line blank, or None if the line is not a whole statement of its own."""
    lines = text.split("\n")
    blank = lines[line - 1]
    whole = re.match(r"\s*[\w.\"'-]+\s*=", blank) is not None
    closed = blank.count("[") == blank.count("]") and blank.count("{") == blank.count("}")
    if not whole or not closed or '"""' in blank or "'''" in blank:
        return None
    lines[line - 1] = ""
    return "\n".join(lines)


def brackets(line: str) -> int:
    """How many brackets a line begins with: 1 for a single table, 2 for one of a list, 0 for a key."""
    line = line.lstrip()
    return 2 if line.startswith("[[") else 1 if line.startswith("[") else 0

"""Why a text cannot be read as TOML, in an editor's words; and what else is wrong further down."""

import re
import tomllib
from pathlib import Path
from typing import Any

from coach.toml.diagnostic import Diagnostic

_MOST_FAULTS = 20
_SMALL = 100_000  # characters; a larger text is not read again after its first fault
_DEEPEST = 32  # levels of brackets; the files have fewer than ten
_DIGITS = 4000  # fewer than Python turns into a number
_QUOTES = ('"', "'", '"""', "'''")
_CURLY = tuple("“”„«»‘’‚")
_DAY_FIRST = re.compile(r"\b(\d{1,2})[./-](\d{1,2})[./-](\d{4})\b")
_TOKENS = re.compile(  # texts, quotes that nothing closes, comments, brackets
    r"\"\"\"[\s\S]*?\"\"\"|\"\"\"|'''[\s\S]*?'''|'''|\"(?:\\.|[^\"\\\n])*\"|\"|'[^'\n]*'|'|#[^\n]*|[\[\]{}]"
)
_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
# What the parser says, and what an editor should read: what, expected, what to do. The first that begins so is taken.
_WORDS: tuple[tuple[str, str, str, str], ...] = (
    (
        "Expected newline or end of document",
        "something stands after the value",
        "one key and one value on a line",
        "start a new line, put # before a comment, or put quotes round a text",
    ),
    ("Cannot declare", "this table is written twice", "each table once", "join the two tables"),
    ("Cannot redefine", "this table is written twice", "each table once", "join the two tables"),
    (
        "Cannot mutate",
        "this adds to a table or list that is closed already",
        "a table or list in one place",
        "write all of it in one place",
    ),
    ("Cannot overwrite", "this key is written twice", "each key once in a table", "keep one of the two lines"),
    ("Duplicate inline table key", "this key is written twice", "each key once in a table", "keep one of the two"),
    ("Expected ']]'", "the header is not closed", "]] at its end", "close it: [[name]]"),
    ("Expected ']'", "the header is not closed", "] at its end", "close it: [name]"),
    ("Expected '='", "= is missing after the key", "key = value", "put = between the key and its value"),
    (
        "Invalid initial character for a key",
        "this cannot begin a key",
        "a key of letters, digits and _",
        "write the key in plain letters",
    ),
    ("Unclosed array", "the list is not closed", "] at its end, and a comma between the items", "close it with ]"),
    (
        "Unclosed inline table",
        "the table is not closed",
        "} on the same line, and a comma between the keys",
        "close the table with }",
    ),
    (
        "Unescaped '\\'",
        "a \\ in a text means a special character, and this is none",
        "\\\\ for one \\",
        "write \\\\ or leave it out",
    ),
    ("Invalid hex value", "\\u needs four hexadecimal digits", "such as \\u00e9", "write the character itself"),
    ("Escaped character is not", "this \\u names no character", "a character", "write the character itself"),
    ("Unterminated string", "the text is not closed", 'a quote " at its end', 'close the text with "'),
    ("Expected \"'", "the text is not closed", "a quote ' at its end", "close the text with '"),
    ("Expected '\"", "the text is not closed", 'three quotes """ at its end', 'close the text with """'),
    ("Found invalid character '\\n'", "the text is not closed in its line", "a quote ' at its end", "close it"),
    ("Illegal character '\\n'", "the text is not closed in its line", 'a quote " at its end', 'close it with "'),
    ("Illegal character", "a control character that cannot be seen stands here", "plain text", "take it out"),
    ("Found invalid character", "a control character that cannot be seen stands here", "plain text", "take it out"),
    ("Invalid date", "there is no such date or time", "a date such as 2026-03-04", "look at the month and the day"),
    (
        "Invalid value",
        "this is not a value",
        'text in "quotes", a number, true, false, a date, or a list in [ ]',
        "put quotes round a text; write a number with a point, without a unit",
    ),
    (
        "Invalid statement",
        "this line is neither key = value nor a [table]",
        "key = value",
        "put # before it if it is a comment",
    ),
)


def parsed(text: str, path: Path) -> tuple[dict[str, Any], list[Diagnostic], str]:
    """The data of a TOML text; with faults, the data and the text without the lines that hold them.

    An empty text comes back where what is left cannot be trusted to mean what its writer meant.
    """
    faults: list[Diagnostic] = []
    while True:
        try:
            return tomllib.loads(text), faults, text
        except tomllib.TOMLDecodeError as error:
            fault = _syntax(str(error), text, path)
        except RecursionError:
            fault = _deep(text, path)
        except ValueError:  # not the parser's own: int() refuses thousands of digits
            fault = _long_number(text, path)
        faults.append(fault)
        rest = _without_line(text, fault.line)
        open_to_the_end = "not closed" in fault.what and not fault.what.endswith("in its line")
        last = open_to_the_end or len(faults) == _MOST_FAULTS or len(text) > _SMALL
        if rest is None or last:
            return {}, faults, ""
        text = rest


def _without_line(text: str, line: int) -> str | None:
    """The text with one line blank, or None where the line is not a whole statement of its own."""
    lines = text.split("\n")
    blank = lines[line - 1]
    whole = re.match(r"\s*[\w.\"'-]+\s*=", blank) is not None
    closed = blank.count("[") == blank.count("]") and blank.count("{") == blank.count("}")
    if not whole or not closed or '"""' in blank or "'''" in blank:
        return None
    lines[line - 1] = ""
    return "\n".join(lines)


def _syntax(message: str, text: str, path: Path) -> Diagnostic:
    found = _PLACE.search(message)
    lines = text.split("\n")
    if found is not None and found[1] is not None:
        line, column = int(found[1]), int(found[2])
    else:
        line, column = _line_and_column(text, _left_open(text))
    so_far = "\n".join([*lines[: line - 1], lines[line - 1][: column - 1]])
    opened = _left_open(so_far)
    if message.startswith("Invalid initial character") and so_far[opened : opened + 1] == "{":
        message = "Unclosed inline table"  # a line that ends within braces looks like a key to the parser
        begun, _ = _line_and_column(text, opened)
        if begun != line:  # TOML 1.1 goes on there, and is what newer Pythons read; it ends its line all the same
            line, column = begun, len(lines[begun - 1]) + 1
    words = next((words for words in _WORDS if message.startswith(words[0])), None)
    _, what, expected, mend = words or ("", "this cannot be read", "key = value", "look at the line")
    if "twice" in what:
        line, column, what, header = _twice(text, line, column, what)
        expected, mend = (
            (f"{header} for each", f"write two brackets in both: {header}") if header else (expected, mend)
        )
    if message.startswith("Unclosed") and found is not None and found[1] is not None:
        begun, _ = _line_and_column(text, opened)
        if begun != line:
            what = f"{what.split(' is')[0]} that begins in line {begun} is not closed before this"
    if message.startswith("Expected newline"):
        mend = _after_value(lines[line - 1], column) or mend
    if message.startswith("Invalid value") and lines[line - 1][column - 1 : column] in _CURLY:
        what, mend = "this quote is a curly one, and only a straight one holds a text", 'write " before and after it'
    return Diagnostic(path, line, column, lines[line - 1], what, expected, mend)


def _after_value(line: str, column: int) -> str | None:
    """What to do about the usual things that are found after a value, most of them after a number."""
    before, after = line[: column - 1], line[column - 1 :]
    if after.startswith("\r"):
        return "save the file with line ends LF or CR LF"
    if not before[-1:].isdigit():
        return None
    day = next((one for one in _DAY_FIRST.finditer(line) if one.start() < column <= one.end()), None)
    if day is not None:
        return f"write a date with the year first, then month and day: {day[3]}-{int(day[2]):02}-{int(day[1]):02}"
    if re.match(r",\d", after):
        return "write a point, not a comma"
    return "write the number without its unit; the key names the unit" if re.match(r"[^\W\d]", after) else None


def _twice(text: str, line: int, column: int, what: str) -> tuple[int, int, str, str]:
    """The second of two keys or tables, and in words where the first one stands; then the header that both should
    have, where only one of them is written as one of a list."""
    from coach.toml.source_positions import find_places

    lines = text.split("\n")
    for key, again, first in find_places(text).again:
        if again.line == line:
            name = ".".join(part for part in key if isinstance(part, str))
            one_alone = re.match(r"\s*\[[^\[]", lines[first.line - 1])
            if one_alone and lines[line - 1].lstrip().startswith("[["):
                said = f"{name} is a list of tables here, and a single table in line {first.line}"
                return again.line, again.column, said, f"[[{name}]]"
            return again.line, again.column, f"{name} is written twice, first in line {first.line}", ""
    return line, column, what, ""


def _deep(text: str, path: Path) -> Diagnostic:
    depth, at = 0, 0
    for token in _TOKENS.finditer(text):
        depth += (token[0] in "[{") - (token[0] in "]}")
        if depth > _DEEPEST:
            at = token.start()
            break
    what, expected = "lists or tables stand too deep in each other", f"at most {_DEEPEST} levels"
    return _fault_at(at, text, path, what, expected, "take brackets away")


def _long_number(text: str, path: Path) -> Diagnostic:
    number = re.search(rf"[0-9_]{{{_DIGITS},}}", text)
    at, what = (
        (number.start(), f"a number of {len(number[0])} digits") if number else (0, "a number that is too long")
    )
    return _fault_at(at, text, path, what, "a number that can be measured", "write the number that is meant")


def _fault_at(at: int, text: str, path: Path, what: str, expected: str, mend: str) -> Diagnostic:
    line, column = _line_and_column(text, at)
    return Diagnostic(path, line, column, text.split("\n")[line - 1], what, expected, mend)


def _left_open(text: str) -> int:
    """Where the text, list or table begins that is open at the end; the end itself where none is."""
    open_at: list[int] = []
    for token in _TOKENS.finditer(text):
        if token[0] in _QUOTES:
            return token.start()
        if token[0] in "[{":
            open_at.append(token.start())
        elif token[0] in "]}" and open_at:
            open_at.pop()
    return open_at[-1] if open_at else len(text.rstrip("\n"))


def _line_and_column(text: str, at: int) -> tuple[int, int]:
    return text.count("\n", 0, at) + 1, at - (text.rfind("\n", 0, at) + 1) + 1

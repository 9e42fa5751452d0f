"""Why a text cannot be read as TOML, in the words of whoever edits it; and what else is wrong further down."""

import re
import tomllib
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from coach.toml.diagnostic import Diagnostic
from coach.toml.source_positions import TOKENS, find_positions, innermost_open, line_and_column
from coach.toml.syntax import slips

_MOST_FAULTS = 20
_SMALL = 100_000  # characters; a larger text is not parsed again after its first fault
_DEEPEST = 32  # levels of brackets; the files have fewer than ten
_DIGITS = 4000  # fewer than Python turns into a number
_DASHES = ("−", "–", "—")
_CURLY = tuple("“”„«»‘’‚")
_INVISIBLE = "an invisible character, such as a non-breaking space"
_NEXT_ITEM = re.compile(r"[\"'{\d+-]")
_BEGINS_STATEMENT = re.compile(r"(?:[\w-]+|\"[^\"]*\")\s*(?:\.\s*[\w-]+\s*)*=")
_POSITION = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


class _Fault(Struct, frozen=True):
    """One fault. `unclosed`: what follows may be part of it, so nothing after it can be trusted."""

    line: int
    column: int
    what: str
    expected: str
    fix: str
    unclosed: bool = False
    nearest: str | None = None


class _Spot(Struct, frozen=True):
    """Where the parser gave up. `at_end`: at the end of the text; line and column are then those of what is open."""

    text: str
    line: int
    column: int
    at_end: bool

    @property
    def line_text(self) -> str:
        return self.text.split("\n")[self.line - 1]

    @property
    def so_far(self) -> str:
        """The text before the spot."""
        lines = self.text.split("\n")
        return "\n".join([*lines[: self.line - 1], self.line_text[: self.column - 1]])


_Refine = Callable[[_Spot, _Fault], _Fault]


class _Kind(Struct, frozen=True):
    """One kind of fault, known by the beginning of the parser's message. `refine` looks at the text around it."""

    message: str
    what: str
    expected: str
    fix: str
    unclosed: bool = False
    refine: _Refine | None = None

    def at(self, spot: _Spot) -> _Fault:
        """The fault of this kind at a spot."""
        fault = _Fault(spot.line, spot.column, self.what, self.expected, self.fix, self.unclosed)
        return self.refine(spot, fault) if self.refine is not None else fault


def _is_second(spot: _Spot, fault: _Fault) -> _Fault:
    """Names the key or table and the line of the first one; two brackets are missing if only one is a list's item."""
    for key, second, first in find_positions(spot.text).duplicates:
        if second.line != spot.line:
            continue
        name = ".".join(part for part in key if isinstance(part, str))
        at = replace(fault, line=second.line, column=second.column)
        here, there = (slips.brackets(line) for line in (spot.line_text, spot.text.split("\n")[first.line - 1]))
        if here == there or 0 in (here, there):
            table = ".".join(part for part in key[:-1] if isinstance(part, str))
            more = f", or begin another one above the second: [[{table}]]" if f"[[{table}]]" in spot.text else ""
            what, fix = f"{name} is written twice, first in line {first.line}", fault.fix
            return replace(at, what=what, fix=fix + more if not here else fix)
        kinds = ("", "a single table", "a list of tables")
        what = f"{name} is {kinds[here]} here, and {kinds[there]} in line {first.line}"
        fix = f"write two brackets in both: [[{name}]]" if here == 2 else f"write two brackets: [[{name}]]"
        return replace(at, what=what, expected=f"[[{name}]] for each", fix=fix)
    return fault


def _in_header(spot: _Spot, fault: _Fault) -> _Fault:
    """A sign in a name that no name can have looks like the end of a header that is not closed."""
    sign, fix = spot.line_text[spot.column - 1 : spot.column].strip(), "take it out"
    if not sign or "]" not in spot.line_text[spot.column :]:
        return fault
    if sign.isascii() and sign.isalnum():
        sign, fix = "a space", "write a point between two names, or _"
    return replace(fault, what=f"{sign} cannot stand in a name", expected="letters, digits and _", fix=fix)


def _in_key(spot: _Spot, fault: _Fault) -> _Fault:
    """A sign that no key can have looks like the end of one."""
    sign = spot.line_text[spot.column - 1 : spot.column]
    if sign.isascii() or "=" not in spot.line_text[spot.column :]:
        return fault
    if sign in _DASHES:
        name = slips.dash_in_key(spot.line_text)
        return replace(fault, what=f"{sign} cannot stand in a key", fix=f"write {name}", nearest=name)
    return _is_invisible(spot, replace(fault, what=f"{sign} cannot stand in a key", fix="take it out"))


def _opened_before(spot: _Spot, fault: _Fault, noun: str) -> _Fault:
    """Names the line in which a list or table begins, if the parser only noticed later that it is not closed."""
    opened, _ = line_and_column(spot.text, innermost_open(spot.so_far))
    if spot.at_end or opened == spot.line:
        return fault
    return replace(fault, what=f"{noun} that begins in line {opened} is not closed before this")


def _in_list(spot: _Spot, fault: _Fault) -> _Fault:
    """A list in which a comma is missing, or a quote ends a text too early, looks unclosed to the parser."""
    if _quote_inside(spot) is not None:
        return _after_value(spot, fault)
    rest = spot.line_text[spot.column - 1 :]
    if spot.at_end or _NEXT_ITEM.match(rest) is None or _BEGINS_STATEMENT.match(rest):
        return _opened_before(spot, fault, "the list")
    before = spot.so_far.rstrip()
    line, column = line_and_column(spot.text, len(before))
    if line == spot.line:
        column = spot.column
    what, fix = "a comma is missing between two items of the list", "put a comma after each item"
    return replace(fault, line=line, column=column, what=what, expected="a comma between the items", fix=fix)


def _quote_inside(spot: _Spot) -> str | None:
    """The quote that ends a text too early, as another one follows in the line; None if it is not so."""
    before, after = spot.line_text[: spot.column - 1].rstrip(), spot.line_text[spot.column - 1 :]
    quote = before[-1:]
    text_goes_on = re.match(r"[^\W\d]", after) is not None
    return quote if quote in ("'", '"') and quote and text_goes_on and quote in after else None


def _within_braces(spot: _Spot, fault: _Fault) -> _Fault:
    """A line that ends inside braces looks like a key to the parser, and is an unclosed table.

    TOML 1.1, which newer Pythons read, goes on in the next line; the fault is placed at the end of the line all the
    same.
    """
    opened_at = innermost_open(spot.so_far)
    if spot.so_far[opened_at : opened_at + 1] != "{":
        return fault
    opened, _ = line_and_column(spot.text, opened_at)
    if opened != spot.line:
        spot = replace(spot, line=opened, column=len(spot.text.split("\n")[opened - 1]) + 1)
    return _UNCLOSED_TABLE.at(spot)


def _after_value(spot: _Spot, fault: _Fault) -> _Fault:
    """What to do about the usual things that are found after a value, most of them after a number."""
    line, column = spot.line_text, spot.column
    before, after = line[: column - 1], line[column - 1 :]
    if after.startswith("\r"):
        return replace(fault, fix="save the file with line ends LF or CR LF")
    quote = _quote_inside(spot)
    if quote is not None:
        instead = '\\" for a quote inside the text' if quote == '"' else 'the whole text in " quotes'
        what = f"the text ends here, at a {quote} inside it"
        return replace(fault, what=what, expected="one text between two quotes", fix=f"write {instead}")
    if not before.rstrip()[-1:].isdigit():
        return fault
    date = slips.date_year_first(line, column)
    if date is not None:
        return replace(fault, fix=f"write a date with the year first, then month and day: {date}")
    if re.match(r",\d", after):
        return replace(fault, fix="write a point, not a comma")
    told = slips.zero_or_comment(line, column)
    if told is not None:
        return replace(fault, what=told.what, expected=told.expected, fix=told.fix, nearest=told.nearest)
    if re.match(r"[^\W\d]|[°%′″]", after):
        return replace(fault, fix="write the number without its unit; the key names the unit")
    return fault


def _no_value(spot: _Spot, fault: _Fault) -> _Fault:
    """What stands where a value should: the next line, as a list is open, or a sign or word that is nearly one."""
    rest = spot.line_text[spot.column - 1 :]
    opened_at = innermost_open(spot.so_far)
    if spot.so_far[opened_at : opened_at + 1] == "[" and _BEGINS_STATEMENT.match(rest):
        fault = replace(fault, expected="] at its end", fix="close the list with ]", unclosed=True)
        return _opened_before(spot, fault, "the list")
    told = slips.nearly_a_value(rest)
    if told is not None:
        return replace(fault, what=told.what, expected=told.expected, fix=told.fix, nearest=told.nearest)
    if rest[:1] and rest[:1] in _DASHES:
        return replace(fault, what="this is a dash, and a number needs a minus sign", fix="write - before the number")
    if (word := re.match(r"(true|false)\b", rest, re.IGNORECASE)) is not None:
        return replace(fault, what="true and false are written in small letters", fix=f"write {word[0].lower()}")
    if rest[:1] and rest[:1] in _CURLY:
        what = "this is a curly quote, and a text needs straight ones"
        return replace(fault, what=what, fix='write " before and after it')
    return fault if rest[:1].isascii() else _is_invisible(spot, fault)


def _curly_at_end(spot: _Spot, fault: _Fault) -> _Fault:
    """A text that ends with a curly quote is not closed by it."""
    line = spot.line_text.rstrip()
    if line[-1:] not in _CURLY or "=" not in line:
        return fault
    what = "this is a curly quote, which does not close the text"
    return replace(fault, column=len(line), what=what, fix='write " in its place')


def _is_invisible(spot: _Spot, fault: _Fault) -> _Fault:
    if re.match(r"[\s\u200b-\u200f\u2060\ufeff]", spot.line_text[spot.column - 1 :]) is None:
        return fault
    return replace(fault, what=_INVISIBLE, expected="plain text", fix="take it out")


_PUT_EQUALS = "put = between the key and its value"
_UNCLOSED_TABLE = _Kind(
    "Unclosed inline table",
    "the table is not closed",
    "} on the same line, and a comma between the keys",
    "close the table with }",
    unclosed=True,
    refine=partial(_opened_before, noun="the table"),
)
# The first kind that fits the parser's message is taken.
_KINDS: tuple[_Kind, ...] = (
    _Kind(
        "Expected newline or end of document",
        "something stands after the value",
        "one key and one value on a line",
        "start a new line, put # before a comment, or put quotes round a text",
        refine=_after_value,
    ),
    _Kind(
        "Cannot declare", "this table is written twice", "each table once", "join the two tables", refine=_is_second
    ),
    _Kind(
        "Cannot redefine", "this table is written twice", "each table once", "join the two tables", refine=_is_second
    ),
    _Kind(
        "Cannot mutate",
        "this adds to a table or list that is closed already",
        "a table or list in one place",
        "write all of it in one place",
    ),
    _Kind(
        "Cannot overwrite",
        "this key is written twice",
        "each key once in a table",
        "keep one of the two lines",
        refine=_is_second,
    ),
    _Kind(
        "Duplicate inline table key",
        "this key is written twice",
        "each key once in a table",
        "keep one of the two",
        refine=_is_second,
    ),
    _Kind("Expected ']]'", "the header is not closed", "]] at its end", "close it: [[name]]", True, _in_header),
    _Kind("Expected ']'", "the header is not closed", "] at its end", "close it: [name]", True, _in_header),
    _Kind("Expected '='", "= is missing after the key", "key = value", _PUT_EQUALS, refine=_in_key),
    _Kind(
        "Invalid initial character for a key",
        "this cannot begin a key",
        "a key of letters, digits and _",
        "write the key in plain letters",
        refine=_within_braces,
    ),
    _Kind(
        "Unclosed array",
        "the list is not closed",
        "] at its end, and a comma between the items",
        "close it with ]",
        unclosed=True,
        refine=_in_list,
    ),
    _UNCLOSED_TABLE,
    _Kind(
        "Unescaped '\\'",
        "a \\ in a text begins a special character, and this is none",
        "\\\\ for one \\",
        "write \\\\ or leave it out",
    ),
    _Kind("Invalid hex value", "\\u needs four hexadecimal digits", "such as \\u00e9", "write the character itself"),
    _Kind("Escaped character is not", "this \\u names no character", "a character", "write the character itself"),
    _Kind(
        "Unterminated string",
        "the text is not closed",
        'a quote " at its end',
        'close the text with "',
        unclosed=True,
    ),
    _Kind("Expected \"'", "the text is not closed", "a quote ' at its end", "close the text with '", unclosed=True),
    _Kind(
        "Expected '\"",
        "the text is not closed",
        'three quotes """ at its end',
        'close the text with """',
        unclosed=True,
    ),
    _Kind("Found invalid character '\\n'", "the text is not closed in its line", "a quote ' at its end", "close it"),
    _Kind(
        "Illegal character '\\n'",
        "the text is not closed in its line",
        'a quote " at its end',
        'close it with "',
        refine=_curly_at_end,
    ),
    _Kind("Illegal character", "an invisible control character", "plain text", "take it out"),
    _Kind("Found invalid character", "an invisible control character", "plain text", "take it out"),
    _Kind(
        "Invalid date", "there is no such date or time", "a date such as 2026-03-04", "check the month and the day"
    ),
    _Kind(
        "Invalid value",
        "this is not a value",
        'text in "quotes", a number, true, false, a date, or a list in [ ]',
        "put quotes round a text; write a number with a point, without a unit",
        refine=_no_value,
    ),
    _Kind(
        "Invalid statement",
        "this line is neither key = value nor a [table]",
        "key = value",
        "put # before it if it is a comment",
        refine=_is_invisible,
    ),
)
_UNKNOWN = _Kind("", "this cannot be read", "key = value", "check this line")


def parse_tolerantly(text: str, path: Path) -> tuple[dict[str, Any], list[Diagnostic], str]:
    """The data of a TOML text. If it has faults, the data and the text without the lines that hold them.

    The text is empty if what is left cannot be trusted to mean what its writer meant.
    """
    faults: list[Diagnostic] = []
    while True:
        try:
            return tomllib.loads(text), slips.lost_headers(faults), text
        except tomllib.TOMLDecodeError as error:
            fault = _syntax_fault(str(error), text)
        except RecursionError:
            fault = _too_deep(text)
        except ValueError:  # not raised by the parser: int() refuses thousands of digits
            fault = _long_number(text)
        line_text = text.split("\n")[fault.line - 1]
        told = (fault.what, fault.expected, fault.fix, fault.nearest)
        faults.append(Diagnostic(path, fault.line, fault.column, line_text, *told))
        rest = slips.without_line(text, fault.line)
        if rest is None or fault.unclosed or len(faults) == _MOST_FAULTS or len(text) > _SMALL:
            return {}, slips.lost_headers(faults), ""
        text = rest


def _syntax_fault(message: str, text: str) -> _Fault:
    position = _POSITION.search(message)
    if position is not None and position[1] is not None:
        spot = _Spot(text, int(position[1]), int(position[2]), at_end=False)
    else:
        spot = _Spot(text, *line_and_column(text, innermost_open(text)), at_end=True)
    return next((kind for kind in _KINDS if message.startswith(kind.message)), _UNKNOWN).at(spot)


def _too_deep(text: str) -> _Fault:
    depth, at = 0, 0
    for token in TOKENS.finditer(text):
        depth += (token[0] in "[{") - (token[0] in "]}")
        if depth > _DEEPEST:
            at = token.start()
            break
    what, expected = "lists or tables are nested too deeply", f"at most {_DEEPEST} levels"
    return _Fault(*line_and_column(text, at), what, expected, "take brackets away")


def _long_number(text: str) -> _Fault:
    number = re.search(rf"[0-9_]{{{_DIGITS},}}", text)
    at, what = (
        (number.start(), f"a number of {len(number[0])} digits") if number else (0, "a number that is too long")
    )
    fix = "write the number that is meant"
    return _Fault(*line_and_column(text, at), what, "a number that can be measured", fix)

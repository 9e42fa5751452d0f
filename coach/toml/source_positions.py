"""The line and column of every key and every value of a TOML text. Only needed once there is a fault to show."""

import re
import tomllib
from bisect import bisect_right
from typing import NamedTuple

from msgspec import Struct, field

KeyPath = tuple[str | int, ...]

_DEEPEST = 32  # levels of lists and tables in each other that are followed; the files have fewer than ten
# The forms of TOML 1.0.0 (toml.io), as far as one must know them to see where a key or a value begins and ends.
_IN_LINE = r"\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*'"
_TEXT = rf"\"\"\"(?:\\[\s\S]|(?!\"\"\")[^\\])*\"{{3,5}}|'''(?:(?!''')[\s\S])*'{{3,5}}|{_IN_LINE}"
_PART = re.compile(rf"[A-Za-z0-9_-]+|{_IN_LINE}")
_KEY = re.compile(rf"(?:{_PART.pattern})(?:[ \t]*\.[ \t]*(?:{_PART.pattern}))*")
_EQUALS = re.compile(r"[ \t]*=[ \t]*")
_SINGLE = re.compile(rf"{_TEXT}|[^,\[\]{{}}#\n]*")  # a text, or all else that is no list and no table
_BRACKET = re.compile(rf"{_TEXT}|#[^\n]*|[\[\]{{}}]")
_SPACES = re.compile(r"[ \t]*")
_BETWEEN_STATEMENTS = re.compile(r"(?:\s|#[^\n]*)*")
_BETWEEN_ITEMS = re.compile(r"(?:[\s,]|#[^\n]*)*")
_REST_OF_LINE = re.compile(r"[^\n]*")
_QUOTES = ('"', "'", '"""', "'''")
TOKENS = re.compile(  # texts, quotes that nothing closes, comments, brackets
    r"\"\"\"[\s\S]*?\"\"\"|\"\"\"|'''[\s\S]*?'''|'''|\"(?:\\.|[^\"\\\n])*\"|\"|'[^'\n]*'|'|#[^\n]*|[\[\]{}]"
)


class SourcePosition(NamedTuple):
    """Line and column, both from 1; columns in characters."""

    line: int
    column: int


START = SourcePosition(1, 1)


class SourcePositions(Struct):
    """The position of each key and of each value by its path; a table in a list has its index in the path.

    `duplicates` holds keys written a second time: path, second position, first position.
    """

    keys: dict[KeyPath, SourcePosition] = field(default_factory=dict)
    values: dict[KeyPath, SourcePosition] = field(default_factory=dict)
    duplicates: list[tuple[KeyPath, SourcePosition, SourcePosition]] = field(default_factory=list)

    def of_key(self, path: KeyPath) -> SourcePosition:
        """The position of the key, or of the innermost table round it that is in the text."""
        return self._innermost(self.keys, path)

    def of_value(self, path: KeyPath) -> SourcePosition:
        """The position of the value, or of the innermost value round it that is in the text."""
        return self._innermost(self.values, path)

    @staticmethod
    def _innermost(positions: dict[KeyPath, SourcePosition], path: KeyPath) -> SourcePosition:
        for end in range(len(path), 0, -1):
            if path[:end] in positions:
                return positions[path[:end]]
        return START


def find_positions(text: str) -> SourcePositions:
    """The positions in a TOML text. A text with syntax errors gives those of everything that can be read.

    Line ends are CR LF or LF; the positions are the same for both.
    """
    return _Scanner(text.replace("\r\n", "\n")).read()


class _Scanner:
    """Goes through a text once and notes positions. Each method that passes a piece of text returns where it ends."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.line_starts = [0, *(found.end() for found in re.finditer("\n", text))]
        self.found = SourcePositions()
        self.lists: dict[KeyPath, int] = {}  # tables so far in each list of tables
        self.implied: set[KeyPath] = set()  # tables named only as part of a longer key

    def read(self) -> SourcePositions:
        table: KeyPath = ()
        at = self._past(_BETWEEN_STATEMENTS, 0)
        while at < len(self.text):
            if self.text[at] == "[":
                at, table = self.header(at)
            else:
                at = self.pair(at, table, 0)
            at = self._past(_BETWEEN_STATEMENTS, self._past(_REST_OF_LINE, at))
        return self.found

    def position(self, at: int) -> SourcePosition:
        line = bisect_right(self.line_starts, at)
        return SourcePosition(line, at - self.line_starts[line - 1] + 1)

    def header(self, at: int) -> tuple[int, KeyPath]:
        in_list, position = self.text.startswith("[[", at), self.position(at)
        end, parts = self._key(self._past(_SPACES, at + 1 + in_list))
        if not parts:
            return end, ()
        *outer, last = parts
        path: KeyPath = ()
        for part in outer:
            path = self._newest((*path, part))
            self._imply(path, position)
        path = (*path, last)
        if in_list:
            if path in self.found.keys and path not in self.lists and path not in self.implied:
                self.found.duplicates.append((path, position, self.found.keys[path]))
            self._imply(path, position)
            self.lists[path] = self.lists.get(path, 0) + 1
        path = self._newest(path)
        self._note(path, position, position)
        return end, path

    def _newest(self, path: KeyPath) -> KeyPath:
        """A path into a list of tables means the last table so far."""
        return (*path, self.lists[path] - 1) if path in self.lists else path

    def pair(self, at: int, table: KeyPath, depth: int) -> int:
        end, parts = self._key(at)
        equals = _EQUALS.match(self.text, end)
        if not parts or equals is None:
            return end
        begin = equals.end()
        if self.text[begin : begin + 1] in ("", "\n", "#"):
            return self._skipped(begin)
        *outer, last = parts
        path = table
        for part in outer:
            path = (*path, part)
            self._imply(path, self.position(at))
        self._note((*path, last), self.position(at), self.position(begin))
        return self.value(begin, (*path, last), depth + 1)

    def value(self, at: int, path: KeyPath, depth: int) -> int:
        closed = {"[": "]", "{": "}"}.get(self.text[at])
        if closed is None or depth > _DEEPEST:
            return self._skipped(at)
        index, at = 0, self._past(_BETWEEN_ITEMS, at + 1)
        while at < len(self.text) and self.text[at] != closed:
            if closed == "}":
                end = self.pair(at, path, depth)
            else:
                self.found.values[(*path, index)] = self.found.keys[(*path, index)] = self.position(at)
                end = self.value(at, (*path, index), depth + 1)
                index += 1
            at = self._past(_BETWEEN_ITEMS, max(end, at + 1))  # skips a character that begins nothing
        return at + 1

    def _skipped(self, at: int) -> int:
        """The end of a value whose inside is not needed."""
        if self.text[at : at + 1] not in ("[", "{"):
            return self._past(_SINGLE, at)
        depth = 0
        for token in _BRACKET.finditer(self.text, at):
            depth += (token[0] in ("[", "{")) - (token[0] in ("]", "}"))
            if depth == 0:
                return token.end()
        return len(self.text)

    def _key(self, at: int) -> tuple[int, list[str]]:
        """Where a key ends, and its parts as TOML reads them: a.b is two, "a.b" is one."""
        found = _KEY.match(self.text, at)
        return (at, []) if found is None else (found.end(), [_unquoted(part) for part in _PART.findall(found[0])])

    def _past(self, form: re.Pattern[str], at: int) -> int:
        found = form.match(self.text, at)
        return at if found is None else found.end()

    def _imply(self, path: KeyPath, position: SourcePosition) -> None:
        if path not in self.found.keys:
            self.implied.add(path)
            self.found.keys[path] = self.found.values[path] = position

    def _note(self, path: KeyPath, key: SourcePosition, value: SourcePosition) -> None:
        first = self.found.keys.get(path)
        if first is not None and path not in self.implied:
            self.found.duplicates.append((path, key, first))
            return
        self.implied.discard(path)
        self.found.keys[path] = key
        self.found.values[path] = value


def _unquoted(part: str) -> str:
    if part[0] not in "\"'":
        return part
    try:
        return next(iter(tomllib.loads(f"{part} = 0")))
    except ValueError:
        return part


def innermost_open(text: str) -> int:
    """Where the text, list or table begins that is open at the end; the end itself if none is."""
    open_at: list[int] = []
    for token in TOKENS.finditer(text):
        if token[0] in _QUOTES:
            return token.start()
        if token[0] in "[{":
            open_at.append(token.start())
        elif token[0] in "]}" and open_at:
            open_at.pop()
    return open_at[-1] if open_at else len(text.rstrip("\n"))


def line_and_column(text: str, at: int) -> tuple[int, int]:
    """The line and the column of an offset in a text, from 1."""
    return text.count("\n", 0, at) + 1, at - (text.rfind("\n", 0, at) + 1) + 1

"""Where every key and every value of a TOML text stands. Only needed once there is a fault to place."""

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field
from typing import NamedTuple

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


class Place(NamedTuple):
    """Line and column, both from 1; columns in characters."""

    line: int
    column: int


START = Place(1, 1)


@dataclass
class Places:
    """The place of each key and of each value by its path; a table in a list has its index in the path.

    `again` holds keys written a second time: path, the later place, the earlier place.
    """

    keys: dict[KeyPath, Place] = field(default_factory=dict)
    values: dict[KeyPath, Place] = field(default_factory=dict)
    again: list[tuple[KeyPath, Place, Place]] = field(default_factory=list)

    def key(self, path: KeyPath) -> Place:
        """Where the key stands, or the nearest table round it that is written down."""
        return self._nearest(self.keys, path)

    def value(self, path: KeyPath) -> Place:
        """Where the value stands, or the nearest value round it that is written down."""
        return self._nearest(self.values, path)

    @staticmethod
    def _nearest(places: dict[KeyPath, Place], path: KeyPath) -> Place:
        for end in range(len(path), 0, -1):
            if path[:end] in places:
                return places[path[:end]]
        return START


def find_places(text: str) -> Places:
    """The places in a TOML text. A text with syntax errors gives the places of all that can be read.

    Line ends are CR LF or LF; the positions are the same for both.
    """
    return _Reader(text.replace("\r\n", "\n")).read()


class _Reader:
    """Goes through a text once and notes where things stand; each way through a piece of it says where that ends."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.line_starts = [0, *(found.end() for found in re.finditer("\n", text))]
        self.places = Places()
        self.lists: dict[KeyPath, int] = {}  # tables so far in each list of tables
        self.implied: set[KeyPath] = set()  # tables named only as part of a longer key

    def read(self) -> Places:
        table: KeyPath = ()
        at = self._past(_BETWEEN_STATEMENTS, 0)
        while at < len(self.text):
            if self.text[at] == "[":
                at, table = self.header(at)
            else:
                at = self.pair(at, table, 0)
            at = self._past(_BETWEEN_STATEMENTS, self._past(_REST_OF_LINE, at))
        return self.places

    def place(self, at: int) -> Place:
        line = bisect_right(self.line_starts, at)
        return Place(line, at - self.line_starts[line - 1] + 1)

    def header(self, at: int) -> tuple[int, KeyPath]:
        in_list, place = self.text.startswith("[[", at), self.place(at)
        end, parts = self._key(self._past(_SPACES, at + 1 + in_list))
        if not parts:
            return end, ()
        *outer, last = parts
        path: KeyPath = ()
        for part in outer:
            path = self._newest((*path, part))
            self._imply(path, place)
        path = (*path, last)
        if in_list:
            if path in self.places.keys and path not in self.lists and path not in self.implied:
                self.places.again.append((path, place, self.places.keys[path]))
            self._imply(path, place)
            self.lists[path] = self.lists.get(path, 0) + 1
        path = self._newest(path)
        self._note(path, place, place)
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
            self._imply(path, self.place(at))
        self._note((*path, last), self.place(at), self.place(begin))
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
                self.places.values[(*path, index)] = self.places.keys[(*path, index)] = self.place(at)
                end = self.value(at, (*path, index), depth + 1)
                index += 1
            at = self._past(_BETWEEN_ITEMS, max(end, at + 1))  # what nothing begins with is passed over
        return at + 1

    def _skipped(self, at: int) -> int:
        """The end of a value into which nobody looks."""
        if self.text[at : at + 1] not in ("[", "{"):
            return self._past(_SINGLE, at)
        depth = 0
        for token in _BRACKET.finditer(self.text, at):
            depth += (token[0] in ("[", "{")) - (token[0] in ("]", "}"))
            if depth == 0:
                return token.end()
        return len(self.text)

    def _key(self, at: int) -> tuple[int, list[str]]:
        """Where a key ends, and its words as TOML reads them: a.b is two, "a.b" is one."""
        found = _KEY.match(self.text, at)
        return (at, []) if found is None else (found.end(), [_word(part) for part in _PART.findall(found[0])])

    def _past(self, form: re.Pattern[str], at: int) -> int:
        found = form.match(self.text, at)
        return at if found is None else found.end()

    def _imply(self, path: KeyPath, place: Place) -> None:
        if path not in self.places.keys:
            self.implied.add(path)
            self.places.keys[path] = self.places.values[path] = place

    def _note(self, path: KeyPath, key: Place, value: Place) -> None:
        first = self.places.keys.get(path)
        if first is not None and path not in self.implied:
            self.places.again.append((path, key, first))
            return
        self.implied.discard(path)
        self.places.keys[path] = key
        self.places.values[path] = value


def _word(part: str) -> str:
    if part[0] not in "\"'":
        return part
    try:
        return next(iter(tomllib.loads(f"{part} = 0")))
    except ValueError:
        return part

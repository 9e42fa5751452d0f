"""Where every key and every value of a TOML text stands. Only needed once there is a fault to place."""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

from coach.files.expected import KeyPath

_DEEPEST = 32  # levels of lists, tables and dotted keys that are followed; the files have fewer than ten
_LISTS = ("array", "inline_table")
_HEADERS = ("table", "table_array_element")
_KEYS = ("bare_key", "quoted_key", "dotted_key")


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
    source = text.replace("\r\n", "\n").encode()
    tree = Parser(Language(tree_sitter_toml.language())).parse(source)
    return _Reader(source.split(b"\n")).read(tree.root_node)


class _Reader:
    """Walks one tree and notes where things stand."""

    def __init__(self, lines: list[bytes]) -> None:
        self.lines = lines
        self.places = Places()
        self.lists: dict[KeyPath, int] = {}  # tables so far in each list of tables
        self.implied: set[KeyPath] = set()  # tables named only as part of a longer key

    def read(self, root: Node) -> Places:
        table: KeyPath = ()
        for node in _statements(root):
            if node.type == "pair":
                self.pair(node, table, 0)
            elif node.type in _HEADERS:
                table = self.header(node)
                for pair in _statements(node):
                    if pair.type == "pair":
                        self.pair(pair, table, 0)
        return self.places

    def place(self, node: Node) -> Place:
        """tree-sitter counts bytes in a row; people count characters."""
        row, byte = node.start_point
        before = self.lines[row][:byte] if row < len(self.lines) else b""
        return Place(row + 1, len(before.decode(errors="replace")) + 1)

    def header(self, node: Node) -> KeyPath:
        key = next((child for child in node.children if child.type in _KEYS), None)
        if key is None or key.child_count > 2 * _DEEPEST:
            return ()
        *outer, last = _parts(key)
        place = self.place(node)
        path: KeyPath = ()
        for part in outer:
            path = self._newest((*path, part))
            self._imply(path, place)
        path = (*path, last)
        if node.type == "table":
            path = self._newest(path)
            self._note(path, place, place)
            return path
        if path in self.places.keys and path not in self.lists and path not in self.implied:
            self.places.again.append((path, place, self.places.keys[path]))
        self._imply(path, place)
        self.lists[path] = self.lists.get(path, 0) + 1
        path = self._newest(path)
        self._note(path, place, place)
        return path

    def _newest(self, path: KeyPath) -> KeyPath:
        """A path into a list of tables means the last table so far."""
        return (*path, self.lists[path] - 1) if path in self.lists else path

    def pair(self, node: Node, table: KeyPath, depth: int) -> None:
        key = next((child for child in node.children if child.type in _KEYS), None)
        value = next((child for child in reversed(node.children) if child.is_named and child != key), None)
        if key is None or value is None or key.child_count > 2 * _DEEPEST:
            return
        *outer, last = _parts(key)
        path = table
        for part in outer:
            path = (*path, part)
            self._imply(path, self.place(key))
        self._note((*path, last), self.place(key), self.place(value))
        self.value(value, (*path, last), depth + 1)

    def value(self, node: Node, path: KeyPath, depth: int) -> None:
        if node.type not in _LISTS or depth > _DEEPEST:
            return
        items = [child for child in node.children if child.is_named and child.type not in ("comment", "ERROR")]
        if node.type == "inline_table":
            for item in items:
                self.pair(item, path, depth)
            return
        for index, item in enumerate(items):
            self.places.values[(*path, index)] = self.places.keys[(*path, index)] = self.place(item)
            self.value(item, (*path, index), depth + 1)

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


def _statements(node: Node) -> Iterator[Node]:
    """The statements directly in a node, and those that a syntax error has swallowed."""
    for child in node.children:
        if child.type == "ERROR":
            yield from (inner for inner in child.children if inner.type == "pair" or inner.type in _HEADERS)
        else:
            yield child


def _parts(key: Node) -> list[str]:
    """The words of a key as TOML reads them: a.b is two, "a.b" is one."""
    text = (key.text or b"").decode(errors="replace")
    if key.type == "bare_key":
        return [text]
    try:
        table: object = tomllib.loads(f"{text} = 0")
    except ValueError:
        return [text]
    parts: list[str] = []
    while isinstance(table, dict):
        part, table = next(iter(table.items()))
        parts.append(part)
    return parts or [text]

"""A file as text, to give the position in it of something that does not fit another file."""

from collections.abc import Collection, Iterable, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.reader import read_text

if TYPE_CHECKING:
    from coach.toml.source_positions import SourcePosition, SourcePositions

_ONE = "write one of them"


class SourceFile(Struct, frozen=True, dict=True):
    """A file, read when the first diagnostic is made; or `text`, if it is not written yet.

    `under` is the key of a table in it: the keys of the diagnostics are then those of this table.
    """

    path: Path
    text: str | None = None
    under: KeyPath = ()

    def inside(self, table: KeyPath) -> "SourceFile":
        """The same file, with keys that are those of one table in it."""
        return replace(self, under=(*self.under, *table))

    @cached_property
    def _text(self) -> str:
        return (read_text(self.path) if self.text is None else self.text).replace("\r\n", "\n")

    @cached_property
    def _positions(self) -> "SourcePositions":
        from coach.toml.source_positions import find_positions  # only needed where something is wrong

        return find_positions(self._text)

    def written(self, table: KeyPath, names: Sequence[str]) -> KeyPath:
        """A key of a table that has had several names: under the one that is in the text, else the first."""
        there = (name for name in names if self.has((*table, name)))
        return (*table, next(there, names[0]))

    def has(self, key: KeyPath) -> bool:
        """Whether this key is in the text."""
        return (*self.under, *key) in self._positions.values

    def at_key(
        self, key: KeyPath, what: str, expected: str = "", fix: str = "", nearest: str | None = None
    ) -> Diagnostic:
        """A diagnostic at a key, or at the header of a table."""
        return self._at(self._positions.of_key((*self.under, *key)), what, expected, fix, nearest)

    def at_value(
        self, key: KeyPath, what: str, expected: str = "", fix: str = "", nearest: str | None = None
    ) -> Diagnostic:
        """A diagnostic at the value of a key."""
        return self._at(self._positions.of_value((*self.under, *key)), what, expected, fix, nearest)

    def unknown_value(
        self,
        key: KeyPath,
        what: str,
        name: str,
        known: Iterable[str],
        fix: str = _ONE,
        kind: str = "",
        taken: Collection[str] = (),
    ) -> Diagnostic:
        """A diagnostic for a value that is not one of the known names; `kind` is the kind of entry it names.

        `taken` are the names that stand beside it in a list, and are not meant.
        """
        position = self._positions.of_value((*self.under, *key))
        found = self._at(position, what, *_unknown_name(name, known, fix, taken))
        return replace(found, about=(kind, name)) if kind else found

    def unknown_key(self, key: KeyPath, what: str, known: Iterable[str], fix: str = _ONE) -> Diagnostic:
        """A diagnostic for a key that is not one of the known names."""
        names = list(known)
        taken = [name for name in names if self.has((*key[:-1], name))]
        position = self._positions.of_key((*self.under, *key))
        return self._at(position, what, *_unknown_name(str(key[-1]), names, fix, taken))

    def _at(self, position: "SourcePosition", what: str, expected: str, fix: str, nearest: str | None) -> Diagnostic:
        line = self._text.split("\n")[position.line - 1]
        return Diagnostic(self.path, position.line, position.column, line, what, expected, fix, nearest)


def _unknown_name(name: str, known: Iterable[str], fix: str, taken: Collection[str]) -> tuple[str, str, str | None]:
    """What is expected instead of an unknown name, what to do, and the nearest of the known names not taken."""
    from coach.toml.nearest_name import nearest_name

    names = list(known)
    near = nearest_name(name, [one for one in names if one not in taken])
    return f"one of {', '.join(names)}", f"write {near}" if near else fix, near

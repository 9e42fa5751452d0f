"""A file that could be read, once more as text: to say where in it something does not fit another file."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.reader import read_text
from coach.toml.source_positions import Place, Places, find_places
from coach.toml.value_faults import nearest

_ONE = "write one of them"


@dataclass(frozen=True)
class Source:
    """A file with its places, read when the first fault is placed in it; or `text`, before it is one."""

    path: Path
    text: str | None = None

    @cached_property
    def _text(self) -> str:
        return (read_text(self.path) if self.text is None else self.text).replace("\r\n", "\n")

    @cached_property
    def _places(self) -> Places:
        return find_places(self._text)

    def at_key(
        self, key: KeyPath, what: str, expected: str = "", mend: str = "", nearest: str | None = None
    ) -> Diagnostic:
        """A fault at a key, or at the header of a table."""
        return self._at(self._places.key(key), what, expected, mend, nearest)

    def at_value(
        self, key: KeyPath, what: str, expected: str = "", mend: str = "", nearest: str | None = None
    ) -> Diagnostic:
        """A fault at the value of a key."""
        return self._at(self._places.value(key), what, expected, mend, nearest)

    def no_such(self, key: KeyPath, what: str, name: str, known: Iterable[str], mend: str = _ONE) -> Diagnostic:
        """The value of a key names nothing that there is."""
        return self._at(self._places.value(key), what, *_named(name, known, mend))

    def no_such_key(self, key: KeyPath, what: str, known: Iterable[str], mend: str = _ONE) -> Diagnostic:
        """A key is itself a name, of nothing that there is."""
        return self._at(self._places.key(key), what, *_named(str(key[-1]), known, mend))

    def _at(self, place: Place, what: str, expected: str, mend: str, nearest: str | None) -> Diagnostic:
        line = self._text.split("\n")[place.line - 1]
        return Diagnostic(self.path, place.line, place.column, line, what, expected, mend, nearest)


def _named(name: str, known: Iterable[str], mend: str) -> tuple[str, str, str | None]:
    """What is expected instead of a name, what to do, and the nearest of the names there are."""
    names = list(known)
    near = nearest(name, names)
    return f"one of {', '.join(names)}", f"write {near}" if near else mend, near

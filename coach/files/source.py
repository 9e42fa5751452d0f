"""A file that could be read, once more as text: to say where in it something does not fit another file."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from coach.files.diagnostic import Diagnostic
from coach.files.places import KeyPath, Place, Places, find_places
from coach.files.toml import read_text


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

    def _at(self, place: Place, what: str, expected: str, mend: str, nearest: str | None) -> Diagnostic:
        line = self._text.split("\n")[place.line - 1]
        return Diagnostic(self.path, place.line, place.column, line, what, expected, mend, nearest)

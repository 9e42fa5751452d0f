"""The lines of one language that a client reads as sentences, each with its place."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from coach.authoring.check_placeholders import file_lines, path_of
from coach.content_files.content_folder import FORM, RULES, SAFETY, SCREENS, exercise_files
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import Source

# Of the rules, the reason that the client reads and what follows from it; the other sentences are the therapist's.
_OF_RULES = ("client", "change", "missing")
_ENDS = (".", "?", "!")


@dataclass(frozen=True)
class ClientLine:
    """A line that ends as a sentence does, and where it stands."""

    file: Path
    key: tuple[str, ...]
    text: str

    def told(self, what: str) -> Diagnostic:
        """Something to say about the line, at its place."""
        return Source(self.file).at_value(path_of(self.key), what)


def client_lines(folder: Path, language: str) -> Iterator[ClientLine]:
    """Titles, labels, keys and words of one row are no sentences, and are left out."""
    names = [*(path.name for path in exercise_files(folder)), FORM, SAFETY, RULES, SCREENS]
    for path in (folder / language / name for name in names):
        for name, text in file_lines(path).items():
            key = tuple(name.split("."))
            if text.endswith(_ENDS) and (path.name != RULES or set(key) & set(_OF_RULES)):
                yield ClientLine(path, key, text)

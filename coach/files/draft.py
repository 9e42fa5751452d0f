"""Content while somebody edits it: the last that was whole, and what is wrong with what the files say now."""

from dataclasses import dataclass, replace
from pathlib import Path

from coach.files.check import check_folder
from coach.files.clinic import is_clinic
from coach.files.content import content_folder, languages, load_content
from coach.files.diagnostic import Diagnostic, FileFault
from coach.model.content_set import Content

# A file by its path, time of change, size and number: another file moved over it has another number.
Stamp = frozenset[tuple[str, int, int, int]]


@dataclass(frozen=True)
class Edited:
    """What is edited: a content folder, or a clinic's own folder over the content that came with the program."""

    edited: Path

    @property
    def content(self) -> Path:
        """The content folder itself."""
        return content_folder() if self._clinic else self.edited

    @property
    def _clinic(self) -> Path | None:
        return self.edited if is_clinic(self.edited) else None

    def languages(self) -> tuple[str, ...]:
        """The languages there are now."""
        return languages(self.content)

    def load(self, language: str) -> Content:
        """The content as the files say it now. FileFault where it is not whole."""
        return load_content(self.content, language, self._clinic)

    def check(self) -> tuple[Diagnostic, ...]:
        """Everything wrong in what is edited, also where the files do not fit each other."""
        try:
            return check_folder(self.edited)
        except FileFault as broken:
            return broken.diagnostics

    def stamp(self) -> Stamp:
        """Changes whenever a file does; a file that goes while it is looked at is one that is not there."""
        return frozenset(stamp for path in sorted(self.edited.rglob("*.toml")) for stamp in _stamps(path))


def _stamps(path: Path) -> Stamp:
    try:
        at = path.stat()
    except OSError:
        return frozenset()
    return frozenset({(str(path), at.st_mtime_ns, at.st_size, at.st_ino)})


@dataclass(frozen=True)
class Draft:
    """`content` is the last that was whole, None before there was one; `faults` are of the files as they are."""

    content: Content | None = None
    faults: tuple[Diagnostic, ...] = ()
    whole: bool = False


def read_draft(edited: Edited, language: str, last: Draft) -> Draft:
    """What the files say now; where that is not whole, the last that was, with the faults."""
    try:
        return Draft(edited.load(language), (), whole=True)
    except FileFault as broken:
        return replace(last, faults=broken.diagnostics, whole=False)

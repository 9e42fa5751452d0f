"""Content while it is edited: the last valid state, and the faults of the files as they are now."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from coach.authoring.check import check_folder
from coach.content_files.content_folder import content_folder, languages, load_content
from coach.model.content import Content
from coach.store.client_paths import is_clinic
from coach.store.fingerprint import folder_fingerprint
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file

_WAIT = "wait: they are read again as soon as they are"


class EditedFolder(Struct, frozen=True):
    """The folder that is edited: a content folder, or that of a clinic over the shipped content."""

    folder: Path

    @property
    def content(self) -> Path:
        """The content folder that is shown."""
        return content_folder() if self._clinic else self.folder

    @property
    def folders(self) -> tuple[Path, ...]:
        """The folders that are read, the edited one first."""
        return (self.folder,) if self._clinic is None else (self.folder, self.content)

    @property
    def _clinic(self) -> Path | None:
        return self.folder if is_clinic(self.folder) else None

    def languages(self) -> tuple[str, ...]:
        """The languages that the content has now."""
        return languages(self.content)

    def load(self, language: str) -> Content:
        """The content as the files are now. Raises FileFault if it is not valid, or changes while it is read."""
        with self._unchanged():
            return load_content(self.content, language, self._clinic)

    def check(self) -> tuple[Diagnostic, ...]:
        """Every fault of the edited files, including those between files."""
        try:
            with self._unchanged():
                return check_folder(self.folder)
        except FileFault as broken:
            return broken.faults

    @contextmanager
    def _unchanged(self) -> Iterator[None]:
        """Raise FileFault where files are exchanged while they are read: what was found first then fits no more."""
        before = self.fingerprint()
        try:
            yield
        except FileFault:
            raise
        except Exception:
            if self.fingerprint() == before:
                raise
            what = "the files were being exchanged while they were read"
            raise FileFault([whole_file(self.folder, what, "files that are all there", _WAIT)]) from None

    def fingerprint(self) -> str:
        """A string that changes when any file is changed, added or removed."""
        return folder_fingerprint(self.folder)


class Draft(Struct, frozen=True):
    """The last valid content, None if there was none yet; the faults of the files now; whether they are valid now."""

    content: Content | None = None
    faults: tuple[Diagnostic, ...] = ()
    valid: bool = False


def read_draft(edited: EditedFolder, language: str, last: Draft) -> Draft:
    """The content as the files are now or, if it is not valid, the last valid content with the faults."""
    try:
        return Draft(edited.load(language), (), valid=True)
    except FileFault as broken:
        return replace(last, faults=broken.faults, valid=False)

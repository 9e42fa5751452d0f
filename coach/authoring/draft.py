"""Content while somebody edits it: the last that was whole, and what is wrong with what the files say now."""

from dataclasses import dataclass, replace
from pathlib import Path

from coach.authoring.check import check_folder
from coach.content_files.content_folder import content_folder, languages, load_content
from coach.model.content import Content
from coach.store.client_paths import is_clinic
from coach.store.file_fingerprint import folder_stamp
from coach.toml.diagnostic import Diagnostic, FileFault


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
            return broken.faults

    def stamp(self) -> str:
        """Another word once any file has changed, has come or is gone."""
        return folder_stamp(self.edited)


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
        return replace(last, faults=broken.faults, whole=False)

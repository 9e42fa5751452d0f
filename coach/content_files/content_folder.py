"""The content folder: where it is, its languages, and loading it."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache, partial
from pathlib import Path
from typing import Any

from msgspec import Struct

import coach
from coach.content_files.kept_content import kept_or_read, with_functions
from coach.content_files.language_data import FALLBACK
from coach.content_files.names_of_copies import without_copies
from coach.frozen import FromFile
from coach.model.base import Name
from coach.model.content import Content, Gap
from coach.model.exercise import Exercise
from coach.toml.diagnostic import FileFault, whole_file
from coach.toml.reader import is_there, read_model

OnGaps = Callable[[tuple[Gap, ...]], None]

EXERCISES = "exercises"
LIMITS = "limits.toml"
RULES = "rules.toml"
FORM = "form.toml"
SAFETY = "safety.toml"
CLIENT = "client.toml"
THERAPIST = "therapist.toml"
COACH = "coach.toml"
LETTER = "letter.toml"
WORDING = "wording.toml"
CONDITIONS = "conditions.toml"


_chosen: Path | None = None  # the folder that --content named, for as long as the command runs


def content_folder() -> Path:
    """The content that commands use: the folder chosen by `using_content`, or else that of the program.

    Raises FileFault if there is none.
    """
    return _chosen if _chosen is not None else shipped_folder()


@contextmanager
def using_content(folder: Path) -> Iterator[None]:
    """Let everything that asks for the content use another folder. One command runs in a process."""
    global _chosen
    before, _chosen = _chosen, folder
    try:
        yield
    finally:
        _chosen = before


def shipped_folder() -> Path:
    """The content that came with the program: inside the installed package, or next to it in a source tree.

    Raises FileFault if it is not there.
    """
    package = Path(coach.__file__).parent
    for folder in (package / "content", package.parent / "content"):
        if (folder / EXERCISES).is_dir():
            return folder
    what, fix = "the content that comes with the program is missing", "install the program again"
    raise FileFault([whole_file(package / "content", what, "", fix)])


def languages(folder: Path) -> tuple[str, ...]:
    """The languages of a content folder: its folders of two letters, in order."""
    try:
        inside = [path.name for path in folder.iterdir() if path.is_dir()]
    except OSError:
        return ()
    return tuple(sorted(name for name in inside if len(name) == 2 and name.isalpha()))


def exercise_files(folder: Path) -> tuple[Path, ...]:
    """The files of the exercises, in order of their names, without copies that a synchronising program left."""
    return without_copies((folder / EXERCISES).glob("*.toml"))


class ContentFiles(Struct, frozen=True):
    """The files of a content folder and of the clinic whose folder is read on top of it."""

    folder: Path
    clinic: Path | None = None

    def exercises(self) -> tuple[Path, ...]:
        """The files of all exercises, the clinic's own after the others."""
        return (*exercise_files(self.folder), *self.own_exercises)

    @property
    def own_exercises(self) -> tuple[Path, ...]:
        """The files of the clinic's own exercises."""
        return exercise_files(self.clinic) if self.clinic is not None else ()

    @property
    def own_form(self) -> Path | None:
        """The file of the clinic's own form questions, if there is one."""
        path = self.clinic / FORM if self.clinic is not None else None
        return path if path is not None and is_there(path) else None

    def own_positions(self, name: str) -> tuple[Name, ...]:
        """The positions that the clinic adds to the exercise in a file of this name; empty if the file has faults."""
        for path in self.own_exercises:
            if path.name == name:
                try:
                    return read_model(path, Exercise).position_names
                except FileFault:
                    return ()
        return ()

    def position(self, stem: str, index: int) -> tuple[Path, int]:
        """The file of a position of an exercise, and its index there: a clinic's own come after those shipped."""
        shipped = self.folder / EXERCISES / f"{stem}.toml"
        own = [path for path in self.own_exercises if path.name == shipped.name]
        if not own:
            return shipped, index
        before = len(read_model(shipped, Exercise).positions) if is_there(shipped) else 0
        return (shipped, index) if index < before else (own[0], index - before)

    def messages(self, language: str, name: str) -> Path:
        """The message file of this name in a language: the content's, else the clinic's own, else that in English."""
        path = self.folder / language / name
        if self.clinic is None or is_there(path):
            return path
        own = self.clinic / language / name
        return own if is_there(own) else self.clinic / FALLBACK / name


def load_content(folder: Path, language: str, clinic: Path | None = None, on_gaps: OnGaps | None = None) -> Content:
    """As `read_content`, for use: the files also fit each other. Raises FileFault with every fault.

    The content that comes with the program is checked before it is released, so it is only read, or taken from what
    is kept of it; nothing that reads is imported then.
    """
    shipped = folder.resolve() == shipped_folder().resolve()
    if shipped and clinic is None:
        content = kept_or_read(folder, language, partial(_read, folder, language))
        return with_functions(content, **read_when_asked(folder, language, None, on_gaps))
    files, content = ContentFiles(folder, clinic), _read(folder, language, clinic, on_gaps)
    if files.own_exercises or files.own_form is not None or not shipped:
        from coach.content_files.fit import fit_faults  # only needed for content that may have faults

        faults = tuple(fit_faults(files, content))
        if faults:
            raise FileFault(faults)
    return content


def _read(folder: Path, language: str, clinic: Path | None = None, on_gaps: OnGaps | None = None) -> Content:
    from coach.content_files.read_content import read_content

    return read_content(folder, language, clinic, on_gaps)


def read_when_asked(folder: Path, language: str, clinic: Path | None, on_gaps: OnGaps | None) -> Mapping[str, Any]:
    """What reads the messages of therapist and coach, and of letters, each once and when it is first asked for."""

    def reader(of: str) -> Callable[[], FromFile]:
        @cache
        def read() -> FromFile:
            from coach.content_files.read_content import READ_WHEN_ASKED

            return READ_WHEN_ASKED[of](folder, language, clinic, on_gaps)

        return read

    return {f"read_{of}": reader(of) for of in ("therapist", "coach", "letter")}

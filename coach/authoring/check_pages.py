"""The check of the files that no entry belongs to: pages, left-over files, and the stand-in client."""

from collections.abc import Callable, Iterator
from pathlib import Path

from coach.authoring.check_unused import STAND_IN
from coach.content_files.content_folder import (
    CLIENT,
    COACH,
    CONDITIONS,
    FORM,
    LETTER,
    RULES,
    SAFETY,
    THERAPIST,
    WORDING,
    exercise_files,
    languages,
)
from coach.content_files.names_of_copies import without_copies
from coach.model.content import Content
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.nearest_name import nearest_name

MESSAGE_FILES = (FORM, SAFETY, RULES, CLIENT, CONDITIONS, THERAPIST, COACH, LETTER, WORDING)


def check_pages(_: Path, content: Content) -> Iterator[Diagnostic]:
    """The messages that a session does not read: only this check reads all of them."""
    lazy: tuple[Callable[[], object], ...] = (
        content.messages.read_therapist,
        content.messages.read_coach,
        content.messages.read_letter,
    )
    for read in lazy:
        try:
            read()
        except FileFault as fault:
            yield from fault.faults


def check_extra_files(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Message files that belong to no exercise: misspelt or left over."""
    known = (*(path.name for path in exercise_files(folder)), *MESSAGE_FILES)
    for path in without_copies((folder / content.messages.language).glob("*.toml")):
        if path.name not in known:
            near = nearest_name(path.stem, [Path(name).stem for name in known if not path.with_name(name).exists()])
            what, fix = f"there is no exercise and no message file called {path.stem}", "rename it, or remove it"
            yield whole_file(path, what, f"one of {', '.join(sorted(known))}", fix, near and f"{near}.toml")


def check_stand_in(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """The client for whom the screens are shown: its files are right and fit the content."""
    if (folder / STAND_IN).is_dir():
        yield from check_profile(folder / STAND_IN, content, languages(folder))

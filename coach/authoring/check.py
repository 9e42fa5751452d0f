"""The check of a folder of hand-written files: content, a clinic's folder, one client, or a folder of clients."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from datetime import datetime
from functools import partial
from pathlib import Path

from coach.authoring.check_clinic import adds_entries, check_clinic, clinic_notes, overrides_of
from coach.authoring.check_content import check_content
from coach.content_files.content_folder import EXERCISES, LIMITS, content_folder, languages, load_content
from coach.model.content import ClinicOverride, Content
from coach.store.client_paths import CLINIC, PROFILE, clients_in, clinic_of, is_client, is_clinic, unreadable_folders
from coach.store.client_pool import OnProgress, for_clients
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import Diagnostic, FileFault, sort_faults, whole_file

_LANGUAGE = "en"  # names and limits are the same in every language; this one always comes with the program


NotesOf = Callable[[Path, Content], Iterable[Diagnostic]]
"""The notes on a client: what is worth saying and is no fault."""


def check_folder(
    path: Path,
    now: datetime | None = None,
    on_progress: OnProgress = lambda *_: None,
    notes_of: NotesOf = lambda *_: (),
    notes: list[Diagnostic] | None = None,
) -> tuple[Diagnostic, ...]:
    """Every fault of the files in a folder, in order of their positions; empty if there is none.

    With `now`, dates of clients' files that are to come are faults as well. `on_progress` is called with how many
    clients are checked and how many there are. What `notes_of` returns for each client is added to `notes`; it
    is called right after the check, which has computed the same loads.

    A content folder is checked by itself. Clients, and the clinic's folder next to them, are checked against the
    content that came with the program. Raises FileFault if that content cannot be read.
    """
    if path.is_file():
        what = "this is a file, and only whole folders are checked"
        return (whole_file(path, what, "a folder", f"check the folder {path.parent}"),)
    if not path.is_dir():
        return (whole_file(path, "there is no such folder", "a folder", "check the path"),)
    if is_clinic(path):
        return check_clinic(path)
    if is_content(path):
        return check_content(path)
    try:
        clients = (".",) if is_client(path) else clients_in(path)
    except FileFault:
        expected = f"a content folder, a client's folder with {PROFILE}, or a folder of these"
        above = path.resolve().parent
        fix = f"check all of it: {above}" if is_content(above) else "check the path"
        return (whole_file(path, "there is nothing here to check", expected, fix),)
    shipped, clinics = content_folder(), _clinics(path)
    of_clinic = tuple(fault for clinic in clinics for fault in check_clinic(clinic))
    of_clinic += tuple(unreadable_folders(path, (CLINIC,)))
    if of_clinic and any(adds_entries(clinic) for clinic in clinics):
        return of_clinic  # what the clinic added is not known, so whether a client fits it is not known either
    content = load_content(shipped, _LANGUAGE, None if of_clinic else next(iter(clinics), None))
    check = partial(check_profile, content=content, languages=languages(shipped), now=now)
    faults, told = list[Diagnostic](), list[Diagnostic]() if notes is None else notes
    with closing(for_clients(path, clients, lambda one: (check(one), tuple(notes_of(one, content))))) as found:
        for number, (of_client, noted) in enumerate(found, start=1):
            faults += of_client
            told += noted
            on_progress(number, len(clients))
    once = dict.fromkeys(
        (*faults, *of_clinic, *_misnamed_clinic(path))
    )  # a client with a piece of a roll reads the clinic's file too
    return sort_faults(once)


def _misnamed_clinic(path: Path) -> Iterator[Diagnostic]:
    """A clinic's folder with capital letters in its name, which is not read."""
    for inside in path.iterdir():
        if inside.name != CLINIC and inside.name.lower() == CLINIC and inside.is_dir():
            what, fix = "this folder is not read", f"rename it to {CLINIC}"
            yield whole_file(inside, what, f"a folder called {CLINIC}", fix, CLINIC)


def is_content(path: Path) -> bool:
    """Whether a folder is a content folder; that of a clinic is not."""
    return not is_clinic(path) and ((path / EXERCISES).is_dir() or (path / LIMITS).exists())


def clinic_overrides(path: Path) -> tuple[ClinicOverride, ...]:
    """Everything that the clinic of a folder overrides in the content that came with the program."""
    return tuple(override for clinic in _clinics(path) for override in overrides_of(clinic))


def notes_on_clinic(path: Path) -> Iterator[Diagnostic]:
    """What to think twice about in the clinic's folder of these clients."""
    for clinic in _clinics(path):
        yield from clinic_notes(clinic)


def _clinics(path: Path) -> tuple[Path, ...]:
    """The clinic's folder: the folder itself, one in a folder of clients, or one next to a client."""
    if is_content(path):
        return ()
    around = (path, path / CLINIC, clinic_of(path) if is_client(path) else None)
    return tuple(clinic for clinic in around if clinic is not None and is_clinic(clinic))[:1]

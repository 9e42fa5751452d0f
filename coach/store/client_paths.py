"""Names of the files in a client's folder, and which folders are clients or the clinic's own.

The clinic's folder is next to those of its clients, so there is no setting to forget, and a copy of a caseload
includes it.
"""

import os
import re
from collections.abc import Iterable
from pathlib import Path

from coach.store.client_pool import look_at
from coach.toml.diagnostic import Diagnostic, FileFault, error_reason, whole_file

PROFILE, PRESCRIPTION, PROGRESS, RECORDS = "profile.toml", "prescription.toml", "progress.toml", "records"
PROGRAMME, INSTRUCTIONS = "programme", "instructions"  # of format 2, in the place of prescription.toml
VISITS = "visits"  # of format 2: what was measured, found and done at each visit
MEASURED = "measured"  # what a sensor saw of sets
SETTINGS = "settings.toml"
PLAN = "plan.toml"
EXCHANGE = "exchange"  # what the program keeps of sealed files between home and clinic
ENROLMENT = "enrolment.toml"  # at home: the clinic's public keys
CLINIC = "clinic"
KEPT = "before_format_2"  # what an upgrade has replaced: the files of a client, and no client
_UNREAD = re.compile(r".*\.toml(\.icloud|\.conflict.*)?", re.IGNORECASE | re.DOTALL)


def is_client(path: "os.PathLike[str]") -> bool:
    """Whether a folder has any file of a client; one without profile.toml must be reported, not skipped."""
    return any(os.path.lexists(f"{os.fspath(path)}/{name}") for name in (PROFILE, PRESCRIPTION, PROGRAMME, RECORDS))


def unreadable_folders(path: Path, names: Iterable[str]) -> list[Diagnostic]:
    """A fault for each of these folders of a client that is there and cannot be listed.

    What is in it would be left out without notice: a new client has no records and no instructions either.
    """
    faults = list[Diagnostic]()
    for folder in (path / name for name in names):
        try:
            os.scandir(folder).close()
        except OSError as error:
            if not os.path.lexists(folder):
                continue
            what = f"nothing in this folder can be read: {error_reason(error)}"
            fix = "look at what has this name; put the folder back from a backup, or ask its owner"
            faults.append(whole_file(folder, what, "a folder that can be opened", fix))
    return faults


def unread(path: Path) -> list[Diagnostic]:
    """A fault for each folder of a client that cannot be listed, or else for each file in them that is not read."""
    folders = (RECORDS, PROGRAMME, INSTRUCTIONS, VISITS)
    return unreadable_folders(path, folders) or _unread_files(path, folders)


def _unread_files(path: Path, names: Iterable[str]) -> list[Diagnostic]:
    """A fault for each file in these folders of a client that another program gave a name under which none is read.

    Its ending in capital letters, a placeholder for what has not been brought yet, or a conflict told after the
    ending: what it says, such as that the load is frozen, would count for nothing, and nobody would miss it.
    """
    faults = list[Diagnostic]()
    for folder in (path / name for name in names):
        for name in sorted(os.listdir(folder)) if folder.is_dir() else ():  # noqa: PTH208  # thousands of names
            if not name.endswith(".toml") and _UNREAD.fullmatch(name):
                what = "this file has a name that another program gave it, and is not read"
                fix = "wait until that program has brought it; else rename it so that it ends with .toml, or move it"
                faults.append(whole_file(folder / name, what, "a name that ends with .toml", fix))
    return faults


def clients_in(folder: Path) -> tuple[str, ...]:
    """The names of the clients' folders, in order. Raises FileFault where there is none, or the folder is a client.

    A link that leads nowhere counts: it may have led to a client, who would be left out without notice.
    """
    try:
        with os.scandir(folder) as inside:
            entries = [one for one in inside if not one.name.startswith(".") and one.name != KEPT]
    except OSError as error:
        what = f"this folder cannot be read: {error_reason(error)}"
        raise FileFault([whole_file(folder, what, "a folder of clients", "look at the path")]) from None
    names = [one.name for one, is_one in zip(entries, look_at(entries, _may_be_client), strict=True) if is_one]
    if os.path.lexists(folder / PROFILE) or (not names and is_client(folder)):
        fix = f"give the folder that it is in: {folder.resolve().parent}"
        raise FileFault([whole_file(folder, "this is a client's own folder", "a folder of clients", fix)])
    if not names:
        expected = f"a folder that holds clients' folders, each with a {PROFILE}"
        raise FileFault([whole_file(folder, "there is no client here", expected, "look at the path")])
    return tuple(sorted(names))


def _may_be_client(entry: "os.DirEntry[str]") -> bool:
    try:
        leads_nowhere = entry.is_symlink() and not os.path.exists(entry)  # noqa: PTH110  # as many as there are clients
        return (leads_nowhere and entry.name != CLINIC) or (entry.is_dir() and is_client(entry))
    except OSError:
        return True


def is_clinic(path: Path) -> bool:
    """Whether this is the folder of a clinic, not a client or a folder of clients of that name."""
    if path.name != CLINIC or not path.is_dir():
        return False
    return not any(is_client(one) for one in (path, *path.iterdir()))


def clinic_of(client: Path) -> Path | None:
    """The clinic's folder next to a client's, or None. Raises FileFault where it is there and cannot be opened."""
    path = (client if client.name not in ("", "..") else client.resolve()).parent / CLINIC
    faults = unreadable_folders(path.parent, (CLINIC,))
    if faults:
        raise FileFault(faults)
    return path if is_clinic(path) else None


def clinic_in(folder: Path) -> Path | None:
    """The clinic's folder in a folder of clients, or None."""
    return clinic_of(folder / PROFILE)

"""What a client's folder is, by the names of its files, and which folders are clients'; the clinic's own beside them.

The clinic's folder lies where the clients lie: no setting can be forgotten or point elsewhere, and who copies a
caseload has it too.
"""

import os
from pathlib import Path

from coach.toml.diagnostic import FileFault, error_reason, whole_file

PROFILE, PRESCRIPTION, PROGRESS, RECORDS = "profile.toml", "prescription.toml", "progress.toml", "records"
CLINIC = "clinic"


def is_client(path: "os.PathLike[str]") -> bool:
    """A folder with any file of a client: one whose profile.toml is gone must not be passed over in silence."""
    return any(os.path.lexists(f"{os.fspath(path)}/{name}") for name in (PROFILE, PRESCRIPTION, RECORDS))


def clients_in(folder: Path) -> tuple[str, ...]:
    """The names of the clients' folders, in order. FileFault where the folder is none, or holds no client."""
    try:
        with os.scandir(folder) as inside:
            names = [one.name for one in inside if not one.name.startswith(".") and one.is_dir() and is_client(one)]
    except OSError as error:
        what = f"this folder cannot be read: {error_reason(error)}"
        raise FileFault([whole_file(folder, what, "a folder of clients", "look at the path")]) from None
    if not names:
        expected = f"a folder that holds clients' folders, each with a {PROFILE}"
        raise FileFault([whole_file(folder, "there is no client here", expected, "look at the path")])
    return tuple(sorted(names))


def is_clinic(path: Path) -> bool:
    """Whether a folder is a clinic's own, and not a client, or a folder of clients, of the same name."""
    if path.name != CLINIC or not path.is_dir():
        return False
    return not any(is_client(one) for one in (path, *path.iterdir()))


def clinic_of(client: Path) -> Path | None:
    """The clinic's folder beside a client's, where there is one."""
    beside = (client if client.name not in ("", "..") else client.resolve()).parent / CLINIC
    return beside if is_clinic(beside) else None


def clinic_in(folder: Path) -> Path | None:
    """The clinic's folder in a folder of clients, where there is one."""
    return clinic_of(folder / PROFILE)

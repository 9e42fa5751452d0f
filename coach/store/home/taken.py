"""The folder that a client has from the clinic: which program it brings, and whether its client was taken already."""

import hashlib
import re
import sys
from pathlib import Path

from coach.store.client_paths import is_client
from coach.store.home.places import home_folder
from coach.store.home.start_files import PROGRAM
from coach.toml.atomic_write import replace_file
from coach.toml.diagnostic import FileFault, error_reason, whole_file

_WHEEL = re.compile(r"steady_arc-(\d{1,9}(?:\.\d{1,9}){0,5})-")
_NOTE = ".taken"  # beside the client: the hash of each file that they were taken from


def packed_client_in(folder: Path) -> Path:
    """The file that holds the client, in the folder from the clinic. Raises FileFault where there is not just one."""
    found = sorted((folder / PROGRAM).glob("*.zip"))
    if len(found) != 1:
        what = f"there is no file of one client in its folder {PROGRAM}"
        expected = "the folder that the clinic gave you, whole"
        raise FileFault([whole_file(folder, what, expected, "copy that folder again, with everything in it")])
    return found[0]


def brought_version(folder: Path) -> str | None:
    """The version of the program in the folder from the clinic; None where that cannot be told."""
    found = [_WHEEL.match(one.name) for one in sorted((folder / PROGRAM).glob("*.whl"))]
    return next((one[1] for one in found if one is not None), None)


def is_newer(version: str, other: str) -> bool:
    """Whether a version is above another one."""
    one, two = (tuple(map(int, re.findall(r"\d+", each))) for each in (version, other))
    return one > two


def installed_program() -> Path | None:
    """The folder that a start file has installed this program into; None where it was installed otherwise."""
    folder = home_folder().parent / PROGRAM
    return folder if Path(sys.prefix).resolve() == folder.resolve() else None


def taken_before(packed: Path) -> Path | None:
    """The folder of a client who was taken to this computer from this very file. Raises FileFault."""
    digest = _digest(packed)
    for note in home_folder().glob(f"*/{_NOTE}"):
        try:
            is_noted = digest in note.read_text("ascii").split()
        except (OSError, ValueError):
            continue
        client = client_of(note.parent)
        if is_noted and client is not None:
            return client
    return None


def note_taken(place: Path, packed: Path) -> None:
    """Note that the client in a place at home was taken from this file. Raises OSError."""
    note = place / _NOTE
    before = note.read_text("ascii") if note.exists() else ""
    replace_file(note, f"{before}{_digest(packed)}\n")


def client_of(place: Path) -> Path | None:
    """The client's folder of a place at home: of the same name inside of it, or itself."""
    return next((one for one in (place / place.name, place) if is_client(one)), None)


def _digest(packed: Path) -> str:
    try:
        with packed.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise FileFault([whole_file(packed, f"it cannot be read: {error_reason(error)}", "a file")]) from None

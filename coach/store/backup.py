"""A backup: one client, or all clients of a folder, in one ZIP file with the hash of each file.

The first file in it lists the others with their SHA-256, in the format that `sha256sum --check` reads.
"""

import hashlib
import io
import os
import re
import stat
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from coach.store.client_paths import CLINIC, PROFILE, RECORDS, clients_in, clinic_in, is_client
from coach.toml.diagnostic import FileFault, error_reason, whole_file

CONTENTS = "contents.sha256"
FORMAT = "# format = 1\n"
MOST_BYTES = 16 * 1024 * 1024  # of one file; far above anything that belongs into a client's folder
DEEPEST = 6  # levels of folders
_SAME_TIME = (1980, 1, 1, 0, 0, 0)  # the earliest date in ZIP: the same files give the same backup
# No name that any system reads as a path, a hidden file or a control sequence.
_NAME = re.compile(r"[^\x00-\x1f\x7f/\\:*?\"<>|]{1,200}")


@dataclass(frozen=True)
class Member:
    """One file of a backup: its name, which begins with the client's folder, and its bytes."""

    name: str
    data: bytes


@dataclass(frozen=True)
class Holding:
    """What a backup holds: the number of sessions of each client, and of files."""

    sessions: dict[str, int]
    files: int


def gather(folder: Path) -> tuple[Member, ...]:
    """Every file of a client, or of all clients in a folder and of the clinic. Raises FileFault.

    Hidden files belong to the program and are left out. A link is an error, for what it points to is elsewhere.
    """
    if is_client(folder):
        return tuple(_files(folder, folder.resolve().name))
    clinic = clinic_in(folder)
    names = sorted([*clients_in(folder), *([clinic.name] if clinic is not None else [])])
    return tuple(member for name in names for member in _files(folder / name, name))


def holding(names: Iterable[str]) -> Holding:
    """What a backup of these files holds."""
    every = tuple(names)
    folders = sorted({name.partition("/")[0] for name in every})
    clients = [one for one in folders if one != CLINIC or f"{one}/{PROFILE}" in every]
    found = {client: sum(one.startswith(f"{client}/{RECORDS}/") and one.endswith(".toml") for one in every)
             for client in clients}  # fmt: skip
    return Holding(found, len(every))


def pack(members: Iterable[Member]) -> bytes:
    """A backup as bytes."""
    every, packed = tuple(members), io.BytesIO()
    listed = "".join(f"{hashlib.sha256(one.data).hexdigest()}  {one.name}\n" for one in every)
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for one in (Member(CONTENTS, f"{FORMAT}{listed}".encode()), *every):
            entry = zipfile.ZipInfo(one.name, _SAME_TIME)
            entry.external_attr = (stat.S_IFREG | 0o600) << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, one.data)
    return packed.getvalue()


def is_name(name: str) -> bool:
    """Whether this is the name of a file inside a client's folder on every system."""
    parts = name.split("/")
    return 2 <= len(parts) <= DEEPEST and all(_is_part(part) for part in parts)


def _is_part(part: str) -> bool:
    whole = _NAME.fullmatch(part) is not None and part.isprintable()
    return whole and not part.startswith((".", "~", "-")) and not part.endswith((".", " "))


def _files(folder: Path, name: str) -> Iterator[Member]:
    for path in sorted(folder.iterdir()):
        inside = f"{name}/{path.name}"
        if path.name.startswith("."):
            continue
        if not is_name(inside) and not path.is_dir():
            fix = "give it a plain name, or move it out of the folder"
            raise FileFault([whole_file(path, "a file of this name cannot be put in a backup", "", fix)])
        if path.is_dir() and not path.is_symlink():
            if inside.count("/") + 1 >= DEEPEST:
                raise FileFault([whole_file(path, "folders are nested too deeply", f"at most {DEEPEST} levels")])
            yield from _files(path, inside)
        else:
            yield Member(inside, _data(path))


def _data(path: Path) -> bytes:
    """The bytes of an ordinary file; anything else is not opened."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            fix = "move it out of the folder, or put the file itself there"
            raise FileFault([whole_file(path, "this is a link, or not an ordinary file", "a file", fix)])
        with os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0)), "rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise FileFault([whole_file(path, f"it cannot be read: {error_reason(error)}", "a file")]) from None
    if len(data) > MOST_BYTES:
        raise FileFault([whole_file(path, "the file is larger than 16 MiB", "", "take it out of the folder")])
    return data

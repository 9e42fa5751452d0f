"""Restoring a backup into a new folder: every file is compared with its hash, and all are written or none."""

import hashlib
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coach.store.backup import CONTENTS, FORMAT, MOST_BYTES, is_name
from coach.store.client_paths import is_client
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.new_file import new_folder, refuse_existing

_MOST_FILES = 1_000_000
_MOST_LISTED = 256 * 1024 * 1024  # bytes of the list of contents
_LISTED = re.compile(r"([0-9a-f]{64})  (.+)")
# What the library raises for a damaged file, as found by fuzzing.
SPOILT = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, KeyError,
           OverflowError, OSError)  # fmt: skip


def contents(path: Path) -> dict[str, str]:
    """The SHA-256 of every file in a backup, by its name. Raises FileFault where it cannot be restored."""
    with _opened(path) as archive:
        entries = archive.infolist()
        if not entries or entries[0].filename != CONTENTS or len(entries) > _MOST_FILES:
            raise _fault(path, "this is not a backup of this program", "a file that coach backup wrote")
        first, *lines = _read(archive, entries[0], _MOST_LISTED, path).decode("utf-8").splitlines(keepends=True)
        if first != FORMAT:
            raise _fault(path, "this backup was written by a newer Steady Arc", fix="use the newer Steady Arc")
        listed = [found.groups() for line in lines if (found := _LISTED.fullmatch(line.rstrip("\n")))]
        hashes = {name: digest for digest, name in listed}
        _as_listed(entries[1:], hashes, len(lines), path)
        return hashes


def restore(path: Path, folder: Path) -> None:
    """Write what a backup holds into a new folder. Raises FileFault; then there is no new folder.

    In a folder of clients the new folder becomes the client itself, for a caseload sees no client below another
    folder; a backup of several clients is refused there. Elsewhere each client is a folder in the new one. Each file
    is first written next to the new folder and compared with its hash, and all are moved in one step.
    """
    refuse_existing(folder)
    hashes = contents(path)
    top = {name.partition("/")[0] for name in hashes}
    among_clients = any(is_client(one) for one in folder.parent.iterdir())
    if among_clients and len(top) != 1:
        what = f"this folder would lie among clients, and the backup holds {len(top)} folders"
        raise FileFault([whole_file(folder, what, "a folder that holds no clients", "restore it to another place")])
    with new_folder(folder) as write, _opened(path) as archive:
        for name, digest in hashes.items():
            data = _read(archive, archive.getinfo(name), MOST_BYTES, path)
            if hashlib.sha256(data).hexdigest() != digest:
                raise _fault(path, f"{name} is not what was backed up", fix="take another backup")
            write(name.partition("/")[2] if among_clients else name, data)


def _as_listed(entries: list[zipfile.ZipInfo], hashes: dict[str, str], lines: int, path: Path) -> None:
    """Refuse files that are not in the list, are not plain files, or have names that lead out of the folder."""
    names = [entry.filename for entry in entries]
    for entry in entries:
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if not is_name(entry.filename):
            raise _fault(path, f"it holds a file that would lead out of the folder: {entry.filename}")
        if kind not in (0, stat.S_IFREG):
            raise _fault(path, f"{entry.filename} in it is a link, or not an ordinary file")
        if entry.file_size > MOST_BYTES:
            raise _fault(path, f"{entry.filename} in it is larger than 16 MiB")
    folded = {name.casefold() for name in names}
    if set(names) != set(hashes) or len(folded) != len(names) or lines != len(names):
        raise _fault(path, "what it holds is not what it lists", fix="take another backup")


@contextmanager
def _opened(path: Path) -> Iterator[zipfile.ZipFile]:
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe or a device may never answer
            raise _fault(path, "this is not an ordinary file", "a file that coach backup wrote")
        with zipfile.ZipFile(path) as archive:
            yield archive
    except FileNotFoundError:
        raise _fault(path, "there is no such file", "a file that coach backup wrote") from None
    except SPOILT as error:
        what = f"it cannot be read as a backup: {_reason(error)}"
        raise _fault(path, what, "a file that coach backup wrote", "take another backup") from None


def _reason(error: Exception) -> str:
    return error_reason(error) if isinstance(error, OSError) and error.strerror else "it is damaged"


def _read(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, most: int, path: Path) -> bytes:
    """A file of the backup. Its stated size is not trusted."""
    with archive.open(entry) as file:
        data = file.read(most + 1)
    if len(data) > most:
        raise _fault(path, f"{entry.filename} in it is larger than it may be")
    return data


def _fault(path: Path, what: str, expected: str = "", fix: str = "look at where it came from") -> FileFault:
    return FileFault([whole_file(path, what, expected, fix)])

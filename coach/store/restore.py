"""Taking a backup back: into a new folder, every file checked against its hash, or nothing at all."""

import hashlib
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coach.store.backup import CONTENTS, FORMAT, MOST_BYTES, is_name
from coach.toml.diagnostic import FileFault, reason, whole_file
from coach.toml.new_file import new_folder, refuse_existing

_MOST_FILES = 1_000_000
_MOST_LISTED = 256 * 1024 * 1024  # bytes of the list of contents
_LISTED = re.compile(r"([0-9a-f]{64})  (.+)")
# What the library raises over a file that somebody spoilt, as a fuzzer found it.
SPOILT = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, KeyError,
           OverflowError, OSError)  # fmt: skip


def contents(path: Path) -> dict[str, str]:
    """The SHA-256 of every file in a backup, by its name. FileFault where this is none that can be taken back."""
    with _opened(path) as archive:
        entries = archive.infolist()
        if not entries or entries[0].filename != CONTENTS or len(entries) > _MOST_FILES:
            raise _fault(path, "this is no backup of this program", "a file that coach backup wrote")
        first, *lines = _read(archive, entries[0], _MOST_LISTED, path).decode("utf-8").splitlines(keepends=True)
        if first != FORMAT:
            raise _fault(path, "this backup was written by a newer Steady Arc", mend="use the newer Steady Arc")
        listed = [found.groups() for line in lines if (found := _LISTED.fullmatch(line.rstrip("\n")))]
        hashes = {name: digest for digest, name in listed}
        _as_listed(entries[1:], hashes, len(lines), path)
        return hashes


def restore(path: Path, folder: Path) -> None:
    """Write what a backup holds into a new folder. FileFault where it cannot be: then there is no new folder.

    Each file is written beside the new folder first, checked against its hash, and all is moved in one step.
    """
    refuse_existing(folder)
    hashes = contents(path)
    with new_folder(folder) as write, _opened(path) as archive:
        for name, digest in hashes.items():
            data = _read(archive, archive.getinfo(name), MOST_BYTES, path)
            if hashlib.sha256(data).hexdigest() != digest:
                raise _fault(path, f"{name} is not what was backed up", mend="take another backup")
            write(name, data)


def _as_listed(entries: list[zipfile.ZipInfo], hashes: dict[str, str], lines: int, path: Path) -> None:
    """Every file inside is one of the list, once, with a name that leads nowhere else, and is a plain file."""
    names = [entry.filename for entry in entries]
    for entry in entries:
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if not is_name(entry.filename):
            raise _fault(path, f"it holds a file that would lead out of the folder: {entry.filename}")
        if kind not in (0, stat.S_IFREG):
            raise _fault(path, f"{entry.filename} in it is a link or no ordinary file")
        if entry.file_size > MOST_BYTES:
            raise _fault(path, f"{entry.filename} in it is larger than 16 MiB")
    folded = {name.casefold() for name in names}
    if set(names) != set(hashes) or len(folded) != len(names) or lines != len(names):
        raise _fault(path, "what it holds is not what it lists", mend="take another backup")


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
    return reason(error) if isinstance(error, OSError) and error.strerror else "it is spoilt"


def _read(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, most: int, path: Path) -> bytes:
    """A file of the backup, whatever its size is said to be."""
    with archive.open(entry) as file:
        data = file.read(most + 1)
    if len(data) > most:
        raise _fault(path, f"{entry.filename} in it is larger than it may be")
    return data


def _fault(path: Path, what: str, expected: str = "", mend: str = "look at where it came from") -> FileFault:
    return FileFault([whole_file(path, what, expected, mend)])

"""Fingerprints: whether anything that a stored result was derived from has changed.

Two results are stored because deriving them again takes seconds: progress.toml of a client with years of records, and
the summaries of a caseload. Each is stored with a fingerprint and used only while the fingerprint is the same.

What a fingerprint covers is found by walking through the objects that were read, field by field, so a new field of a
model is covered without anyone adding it here. A fingerprint is no signature: it detects changes, not forgery.
"""

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from functools import cache
from hashlib import sha256
from io import FileIO
from pathlib import Path

from msgspec import Struct

from coach.frozen import FromFile, as_json
from coach.store.client_paths import INSTRUCTIONS, MEASURED, PROGRAMME, RECORDS, VISITS
from coach.toml.atomic_write import TEMPORARY_SUFFIX

# The code that decides what records come to; a test checks that it imports nothing else of this program.
_PACKAGE = Path(__file__).parents[1]
DECIDING_CODE = ("control_characters", "frozen", "model", "progression")
# Two changes within one tick of the file system's clock give the same times, so files that changed this recently are
# read again. Ticks are at most two seconds long (FAT; from memory).
_SETTLED_NS = 2_000_000_000
_FOLDERS = (RECORDS, PROGRAMME, INSTRUCTIONS, VISITS, MEASURED)  # what changes in them is seen in their files


class FilesFingerprint(Struct, frozen=True):
    """A fingerprint of files by their names, sizes and times; `changed_ns` is when the newest of them changed."""

    value: str
    changed_ns: int

    def is_settled(self, now_ns: int) -> bool:
        """Whether any change made after this fingerprint was taken gives another one."""
        return self.changed_ns < now_ns - _SETTLED_NS


def fingerprint_of(*values: object) -> str:
    """The fingerprint of what was read, whole, and of the code that decides what follows from it.

    Accepts structs, frozen classes, mappings, sequences, bytes and plain values, nested in any way. A path
    counts by its last part, so that a folder can be moved. A function is left out: those in `Content` read the
    messages for therapist and coach when they are asked for, and no decision is made from these.

    Raises TypeError for a value of any other type.
    """
    digest = sha256(_code_digest())
    _add(values, digest.update)
    return digest.hexdigest()


def program_fingerprint() -> str:
    """A fingerprint of all of the program's own files, by their sizes and times."""
    return folder_fingerprint(_PACKAGE, "*.py")


def folder_fingerprint(folder: Path, pattern: str = "*.toml") -> str:
    """A fingerprint of the files of a folder and those below it, by their sizes and times."""
    return _files_fingerprint((str(file), _stat(str(file))) for file in sorted(folder.rglob(pattern))).value


def client_fingerprint(path: str) -> FilesFingerprint:
    """A fingerprint of the files of a client's folder, without opening any of them."""
    return _files_fingerprint(_client_files(path))


def _add(value: object, update: Callable[[bytes], None]) -> None:
    """Add a value to a digest, each part with its length, so that no two values give the same bytes."""
    if isinstance(value, bytes):
        update(b"%d " % len(value) + value)
    elif isinstance(value, FromFile):
        _add(as_json(value), update)
    elif isinstance(value, Path):
        _add(os.fsencode(value.name), update)
    elif value is None or isinstance(value, str | int | float | date):
        _add(repr(value).encode(), update)
    elif isinstance(value, Mapping):
        update(b"mapping of %d " % len(value))
        for key, item in value.items():
            _add(key, update)
            _add(item, update)
    elif isinstance(value, tuple | list):
        update(b"sequence of %d " % len(value))
        for item in value:
            _add(item, update)
    elif isinstance(value, Struct):
        for name in value.__struct_fields__:
            _add(getattr(value, name), update)
    elif not callable(value):
        raise TypeError(f"no fingerprint of {type(value).__name__}")


@cache
def _code_digest() -> bytes:
    digest = sha256()
    for name in DECIDING_CODE:
        for module in _modules(f"{_PACKAGE}/{name}"):
            with FileIO(module) as file:  # paths and buffered reading would double the time
                code = file.read()
            digest.update(len(code).to_bytes(8, "big") + code)
    return digest.digest()


def _modules(name: str) -> list[str]:
    """The files of a package, or of a module, by their path without its ending."""
    folders = ((folder.replace(os.sep, "/"), names) for folder, _, names in os.walk(name))
    inside = [f"{folder}/{one}" for folder, names in folders for one in names if one.endswith(".py")]
    return sorted(inside) or [f"{name}.py"]


def _client_files(path: str) -> Iterator[tuple[str, os.stat_result | None]]:
    """Every file that may say something of the client, also copies that a sync program has left."""
    for folder in ("", *_FOLDERS):
        try:
            with os.scandir(f"{path}/{folder}") as inside:
                entries = sorted((one for one in inside if not _is_passing(one.name)), key=lambda one: one.name)
        except OSError:
            yield folder, None
            continue
        yield from ((f"{folder}/{one.name}", _entry_stat(one)) for one in entries if one.name not in _FOLDERS)


def _is_passing(name: str) -> bool:
    """Whether a file only shows that something is being done: a lock, or a file that is not complete yet."""
    return name.endswith((".lock", TEMPORARY_SUFFIX))


def _entry_stat(entry: "os.DirEntry[str]") -> os.stat_result | None:
    """None where the file has gone in the meantime, or is a link to nothing."""
    try:
        return entry.stat()
    except OSError:
        return None


def _stat(path: str) -> os.stat_result | None:
    """None where the file has gone in the meantime."""
    try:
        return os.stat(path)  # noqa: PTH116  # a Path for each file would take as long as the rest
    except OSError:
        return None


def _files_fingerprint(files: Iterable[tuple[str, os.stat_result | None]]) -> FilesFingerprint:
    changed_ns, digest = 0, sha256()
    for name, stat in files:
        if stat is None:
            digest.update(f"{name}\0-\n".encode(errors="surrogateescape"))
            continue
        # On Windows st_ctime is the time of creation, and os.scandir gives no inode number: a change that leaves the
        # size is not seen where the time of modification was put back. Only an open file tells its time of change.
        changed_ns = max(changed_ns, stat.st_ctime_ns, stat.st_mtime_ns)
        facts = (stat.st_mtime_ns, stat.st_ctime_ns, stat.st_size, stat.st_ino, stat.st_mode)
        digest.update(f"{name}\0{facts}\n".encode(errors="surrogateescape"))
    return FilesFingerprint(digest.hexdigest(), changed_ns)

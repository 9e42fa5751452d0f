"""Fingerprints of files by their names, sizes and times, without opening any of them."""

import os
from collections.abc import Iterable, Iterator

from msgspec import Struct

from coach.sha256 import sha256

# Two changes within one tick of the file system's clock give the same times, so files that changed this recently are
# read again. Ticks are at most two seconds long (FAT; from memory).
_SETTLED_NS = 2_000_000_000
_DEEPEST = 8  # folders in each other, our own choice, no source: ours have two, and links may lead in a circle
Found = tuple[str, os.stat_result | None]
"""The name of a file and what the system says of it; None where it has gone in the meantime."""


class FilesFingerprint(Struct, frozen=True):
    """A fingerprint of files by their names, sizes and times; `changed_ns` is when the newest of them changed."""

    value: str
    changed_ns: int

    def is_settled(self, now_ns: int) -> bool:
        """Whether any change made after this fingerprint was taken gives another one."""
        return self.changed_ns < now_ns - _SETTLED_NS


def fingerprint_of_files(files: Iterable[Found]) -> FilesFingerprint:
    """The fingerprint of these files, in their order."""
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


def files_in(folder: str, suffix: str) -> Iterator[Found]:
    """The files of a folder and those below it whose names end like this, in order, named by their path from it."""
    return _below(folder, "", suffix, _DEEPEST)


def _below(folder: str, inside: str, suffix: str, deepest: int) -> Iterator[Found]:
    entries = entries_of(f"{folder}/{inside}")
    if entries is None:
        yield inside, None
        return
    for entry in entries:
        if entry.name.endswith(suffix):
            yield f"{inside}{entry.name}", stat_of(entry)
        elif deepest and _is_folder(entry):
            yield from _below(folder, f"{inside}{entry.name}/", suffix, deepest - 1)


def _is_folder(entry: "os.DirEntry[str]") -> bool:
    """Whether it is a folder, or a link to one; a circle of links is none."""
    try:
        return entry.is_dir()
    except OSError:
        return False


def entries_of(folder: str) -> "list[os.DirEntry[str]] | None":
    """What a folder holds, in the order of the names; None where it cannot be listed."""
    try:
        with os.scandir(folder) as inside:
            return sorted(inside, key=lambda one: one.name)
    except OSError:
        return None


def stat_of(entry: "os.DirEntry[str]") -> os.stat_result | None:
    """None where the file has gone in the meantime, or is a link to nothing."""
    try:
        return entry.stat()
    except OSError:
        return None

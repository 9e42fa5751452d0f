"""A short word for the files of a client, or of the program, as they are now: another word once any has changed."""

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path

import coach
from coach.store.client_paths import PRESCRIPTION, PROFILE, PROGRESS, RECORDS

_DIGEST_BYTES = 16
# A file changed twice within one tick of the file system's clock looks the same after the second time, so what
# changed so shortly before is looked at again the next time.
_SETTLED_NS = 2_000_000_000


@dataclass(frozen=True)
class Stamp:
    """The word, and when the newest of the files changed: nanoseconds of the system's clock."""

    word: str
    changed_ns: int

    def settled(self, now_ns: int) -> bool:
        """Whether a change after this stamp was made must give another word."""
        return self.changed_ns < now_ns - _SETTLED_NS


def client_stamp(path: str) -> Stamp:
    """The stamp of one client's files: names, sizes, inodes, and when content and attributes last changed."""
    return _stamp(_client_files(path))


def program_stamp(*content: Path) -> str:
    """A word for what else a summary depends on: content, a clinic's own with it, and the program that judges."""
    package = Path(coach.__file__).parent
    files = [*(file for folder in content for file in sorted(folder.rglob("*.toml"))), *sorted(package.rglob("*.py"))]
    return _stamp((str(file), _found(str(file))) for file in files).word


def folder_stamp(folder: Path) -> str:
    """A word for the hand-written files of a folder; a file that goes while it is looked at is one that is gone."""
    return _stamp((str(file), _found(str(file))) for file in sorted(folder.rglob("*.toml"))).word


def _client_files(path: str) -> Iterator[tuple[str, os.stat_result | None]]:
    for name in (PROFILE, PRESCRIPTION, PROGRESS):
        yield name, _found(f"{path}/{name}")
    try:
        with os.scandir(f"{path}/{RECORDS}") as inside:
            records = sorted((entry.name, entry.stat()) for entry in inside if entry.name.endswith(".toml"))
    except OSError:
        yield RECORDS, None
        return
    yield from records


def _found(path: str) -> os.stat_result | None:
    try:
        return os.stat(path)  # noqa: PTH116  # a Path for each file would take as long as the rest
    except OSError:
        return None


def _stamp(files: Iterable[tuple[str, os.stat_result | None]]) -> Stamp:
    changed_ns, digest = 0, blake2b(digest_size=_DIGEST_BYTES)
    for name, found in files:
        if found is None:
            digest.update(f"{name}\0-\n".encode(errors="surrogateescape"))
            continue
        changed_ns = max(changed_ns, found.st_ctime_ns, found.st_mtime_ns)
        facts = (found.st_mtime_ns, found.st_ctime_ns, found.st_size, found.st_ino, found.st_mode)
        digest.update(f"{name}\0{facts}\n".encode(errors="surrogateescape"))
    return Stamp(digest.hexdigest(), changed_ns)

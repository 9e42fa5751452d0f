"""A disk that keeps only what was flushed: at a power cut each change that was not may be there, in part, or not.

After a flush of a file its bytes are kept; after a flush of a folder its names are. Everything else is decided by
chance, each name and each file by itself, which is more than any file system lets happen.
"""

import os
import random
import signal
import stat
from pathlib import Path
from typing import Any

from tests.faults.seam import path_of, put_in

Names = dict[str, int]


class Disk:
    """What is safe of one folder: the bytes of each file, the names in each folder."""

    def __init__(self, folder: Path, chance: random.Random) -> None:
        self._folder = folder
        self._chance = chance
        self._names: dict[str, Names] = {}
        self._bytes: dict[int, bytes] = {}
        self._left = chance.randrange(160)
        for one in [folder, *(path for path in folder.rglob("*") if path.is_dir())]:
            self._names[str(one)] = _names(one)
        for path in folder.rglob("*"):
            if path.is_file():
                self._bytes[path.stat().st_ino] = path.read_bytes()

    def before(self, _: str, __: tuple[Any, ...]) -> None:
        """The power goes at one of the calls."""
        self._left -= 1
        if self._left < 0:
            self._cut()

    def after(self, name: str, given: tuple[Any, ...]) -> None:
        """A flush makes safe; a new file has nothing that is."""
        if name == "fsync":
            path, status = path_of(given[0]), os.fstat(given[0])
            if stat.S_ISDIR(status.st_mode):
                self._names[path] = _names(Path(path))
            else:
                self._bytes[status.st_ino] = Path(path).read_bytes()
        elif name == "open" and os.fstat(given[2]).st_size == 0:
            self._bytes.pop(os.fstat(given[2]).st_ino, None)

    def _cut(self) -> None:
        """Put on the real disk what this one has after the cut, and die."""
        now = {str(path): path.read_bytes() for path in self._folder.rglob("*") if path.is_file()}
        numbers = {path: Path(path).stat().st_ino for path in now}
        contents = {numbers[path]: data for path, data in now.items()}
        image = dict(self._image(str(self._folder), contents))
        fresh = self._folder.with_name(f"{self._folder.name}.after")
        fresh.mkdir()
        for path, data in image.items():
            there = fresh / Path(path).relative_to(self._folder)
            there.parent.mkdir(exist_ok=True)
            there.write_bytes(data)
        os.kill(os.getpid(), signal.SIGKILL)

    def _image(self, folder: str, contents: dict[int, bytes]) -> list[tuple[str, bytes]]:
        safe, here = self._names.get(folder, {}), _names(Path(folder)) if Path(folder).is_dir() else {}
        files: list[tuple[str, bytes]] = []
        for name in sorted({*safe, *here}):
            number = self._chance.choice([safe.get(name), here.get(name)])
            path = f"{folder}/{name}"
            if number is None or name == ".lock":
                continue
            if path in self._names or Path(path).is_dir():
                files += self._image(path, contents)
            else:
                files.append((path, self._content(number, contents)))
        return files

    def _content(self, number: int, contents: dict[int, bytes]) -> bytes:
        safe, here = self._bytes.get(number), contents.get(number)
        if here is None or here == safe:
            return safe if safe is not None else b""
        grown = here[: self._chance.randrange(len(here) + 1)]
        if safe is None:
            return self._chance.choice([b"", grown, bytes(len(here)), here])
        if here.startswith(safe):
            more = here[len(safe) :]
            part = more[: self._chance.randrange(len(more) + 1)]
            return safe + self._chance.choice([b"", part, bytes(len(more)), more])
        return self._chance.choice([safe, here])


def _names(folder: Path) -> Names:
    return {path.name: path.lstat().st_ino for path in folder.iterdir()}


def power_cut(folder: Path, chance: random.Random) -> None:
    """The power goes at one call; what is left is beside the folder, under its name with `.after`."""
    disk = Disk(folder, chance)
    put_in(folder, disk.before, disk.after)

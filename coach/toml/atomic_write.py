"""Writing a file so that at every moment the disk holds the old text or the new text, whole."""

import os
import tempfile
from contextlib import suppress
from pathlib import Path

UNFINISHED = ".tmp"


def replace_file(path: Path, text: str) -> None:
    """Put `text` in the file at `path`, as UTF-8, readable by its owner only; otherwise as `replace_bytes`."""
    replace_bytes(path, text.encode("utf-8"))


def replace_bytes(path: Path, data: bytes) -> None:
    """Put `data` in the file at `path`, readable by its owner only.

    Written beside the file, flushed to the disk, moved over it in one step; then the folder is flushed, so
    that the move itself outlives a power cut. OSError if it cannot be: the old file is then as it was.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=UNFINISHED)  # 0600
    try:
        write_flushed(handle, data)
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    flush_folder(path.parent)


def write_flushed(handle: int, data: bytes) -> None:
    """Write all of the data and flush it to the disk; the handle is closed, however it ends.

    What the disk takes only in part is written on. OSError where it takes no more, or does not flush.
    """
    try:
        while data:
            data = data[os.write(handle, data) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def free(path: Path) -> Path:
    """The path, or the same with a number behind it where something stands there."""
    number, free = 2, path
    while free.exists():
        free = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return free


def sweep(folder: Path) -> None:
    """Take away what a write left behind that was killed before its move; only for the holder of the lock."""
    for left in folder.glob(f".*{UNFINISHED}"):
        with suppress(OSError):
            left.unlink()


def flush_folder(folder: Path) -> None:
    """Flush a folder's own entries to the disk, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def make_folder(path: Path) -> None:
    """Make a folder, and those above it, for its owner only; one that is there is left as it is."""
    if path.is_dir():
        return
    make_folder(path.parent)
    with suppress(FileExistsError):
        path.mkdir(mode=0o700)
        flush_folder(path.parent)
    if not path.is_dir():
        raise NotADirectoryError(f"{path} is not a folder")

"""Replacing a file so that at every moment the disk holds either all of the old content or all of the new."""

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from coach.system import flush_folder, move

TEMPORARY_SUFFIX = ".tmp"


def replace_file(path: Path, text: str) -> None:
    """Replace the file at `path` by a text in UTF-8; the same as `replace_bytes` in all else."""
    replace_bytes(path, text.encode("utf-8"))


def replace_bytes(path: Path, data: bytes) -> None:
    """Replace the file at `path` by one with this content that only its owner can read.

    The content is written to a temporary file in the same folder, flushed to the disk and renamed over the old file;
    then the folder is flushed, so that the rename survives a power cut. Raises OSError, and leaves the old file as it
    was, if any of this fails.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=TEMPORARY_SUFFIX)  # 0600
    try:
        write_flushed(handle, data)
        move(Path(name), path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    flush_folder(path.parent)


def write_flushed(handle: int, data: bytes) -> None:
    """Write all of the data to an open file descriptor, flush it to the disk and close it, also after an error.

    A partial write is continued. Raises OSError if nothing more can be written or flushed.
    """
    try:
        while data:
            data = data[os.write(handle, data) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def unused_path(path: Path) -> Path:
    """The path, or the same with a number added to its name if something exists there."""
    number, unused = 2, path
    while unused.exists():
        unused = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return unused


def remove_leftovers(folder: Path) -> None:
    """Delete temporary files of writes that were killed before the rename; only for the holder of the lock."""
    for left in folder.glob(f".*{TEMPORARY_SUFFIX}"):
        with suppress(OSError):
            left.unlink()


def make_folder(path: Path) -> None:
    """Make a folder, and missing ones above it, for its owner only. An existing one is left as it is."""
    if path.is_dir():
        return
    make_folder(path.parent)
    with suppress(FileExistsError):
        path.mkdir(mode=0o700)
        flush_folder(path.parent)
    if not path.is_dir():
        raise NotADirectoryError(f"{path} is not a folder")

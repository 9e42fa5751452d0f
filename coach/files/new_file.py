"""Writing a file that was not there: nothing that somebody has is ever written over."""

import os
from contextlib import suppress
from pathlib import Path

from coach.files.atomic import flush_folder, write_flushed
from coach.files.diagnostic import Diagnostic, FileFault, whole_file


def write_new(path: Path, data: bytes) -> None:
    """Write a new file, readable by its owner only. FileFault where there is one already, or it cannot be."""
    refuse_existing(path)
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        raise FileFault([_there_already(path)]) from None
    except OSError as error:
        raise FileFault([_not_written(path, error)]) from None
    try:
        write_flushed(handle, data)
        flush_folder(path.parent)
    except OSError as error:
        with suppress(OSError):
            path.unlink()
        raise FileFault([_not_written(path, error)]) from None


def refuse_existing(path: Path) -> None:
    """FileFault where something is there already, or where there is no folder to write in."""
    if os.path.lexists(path):
        raise FileFault([_there_already(path)])
    if not path.parent.is_dir():
        what = f"there is no folder {path.parent}"
        raise FileFault([whole_file(path, what, "a file in a folder that is there", "make the folder first")])


def _there_already(path: Path) -> Diagnostic:
    what = "it is there already, and is not written over"
    return whole_file(path, what, "a new name", "name another file")


def _not_written(path: Path, error: OSError) -> Diagnostic:
    return whole_file(path, f"it cannot be written: {error.strerror or error}", mend="name another file")

"""Writing a new file or folder; nothing that exists is ever overwritten."""

import errno
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from coach.system import IS_WINDOWS, flush_everything, flush_folder, move, open_bytes
from coach.toml.atomic_write import TEMPORARY_SUFFIX, write_flushed
from coach.toml.diagnostic import FileFault, error_reason, whole_file

_FULL = (errno.ENOSPC, errno.EDQUOT)


def write_new(path: Path, data: bytes) -> None:
    """Write a new file that only its owner can read. Raises FileFault if it exists or cannot be written."""
    refuse_existing(path)
    with _report_errors(path):
        handle = _created(path)
        try:
            write_flushed(handle, data)
            flush_folder(path.parent)
        except BaseException:
            with suppress(OSError):
                path.unlink()
            raise


@contextmanager
def new_file(path: Path) -> Iterator[BinaryIO]:
    """A new file of any size that appears when it is complete, or not at all. Only its owner can read it.

    Raises FileFault, and leaves nothing, if something of that name exists or it cannot be written.
    """
    refuse_existing(path)
    with _report_errors(path):
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=TEMPORARY_SUFFIX)  # 0600
        made = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
            _move_to_new(made, path)
            flush_folder(path.parent)
        except BaseException:
            with suppress(OSError):
                made.unlink()
            raise


def _move_to_new(made: Path, path: Path) -> None:
    """Give a file its name. Raises FileExistsError if something has that name by now."""
    if not IS_WINDOWS:  # where a file that is renamed replaces none
        try:
            os.link(made, path)
        except FileExistsError:
            raise
        except OSError:  # a file system without links, as on many memory sticks
            if os.path.lexists(path):
                raise FileExistsError from None
        else:
            made.unlink()
            return
    move(made, path, replaces=False)


@contextmanager
def new_folder(folder: Path) -> Iterator[Callable[[str, bytes], None]]:
    """A new folder that appears with all its files or not at all.

    Yields a function that writes a file, given its name in the folder and its content. Raises FileFault, and leaves
    no folder, if something of that name exists or a file cannot be written.
    """
    refuse_existing(folder)
    with _report_errors(folder):
        made = Path(tempfile.mkdtemp(dir=folder.parent, prefix=f".{folder.name}.", suffix=TEMPORARY_SUFFIX))  # 0700

    def write(name: str, data: bytes) -> None:
        with _report_errors(folder / name):
            _make_private((made / name).parent)
            with os.fdopen(_created(made / name), "wb") as file:
                file.write(data)

    try:
        yield write
        with _report_errors(folder):
            _flush_all(made)
            move(made, folder, replaces=False)  # refuses a folder with anything in it
            flush_folder(folder.parent)
    except BaseException:
        shutil.rmtree(made, ignore_errors=True)
        raise


def _make_private(folder: Path) -> None:
    """Make a folder, and missing ones above it, for its owner only, without flushing it yet."""
    if not folder.is_dir():
        _make_private(folder.parent)
        folder.mkdir(mode=0o700)


def _flush_all(folder: Path) -> None:
    """Flush every file and folder below a folder, and itself.

    At once where the system can do that, else each by itself.
    """
    if flush_everything():
        return
    for inside, _, names in os.walk(folder):
        for name in names:
            write_flushed(open_bytes(Path(inside, name), os.O_WRONLY), b"")
        flush_folder(Path(inside))


def refuse_existing(path: Path) -> None:
    """Raises FileFault if something exists at the path, or if there is no folder to write in."""
    if os.path.lexists(path):
        raise _exists_already(path)
    if not path.parent.is_dir():
        what = f"there is no folder {path.parent}"
        raise FileFault([whole_file(path, what, "a name in an existing folder", "make the folder first")])


def _created(path: Path) -> int:
    return open_bytes(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)


@contextmanager
def _report_errors(path: Path) -> Iterator[None]:
    """Turns an OSError into a FileFault of the path."""
    try:
        yield
    except FileExistsError:
        raise _exists_already(path) from None
    except OSError as error:
        what = f"it cannot be written: {error_reason(error)}"
        fix = "make room there, or name another place" if error.errno in _FULL else "name another place"
        raise FileFault([whole_file(path, what, fix=fix)]) from None


def _exists_already(path: Path) -> FileFault:
    return FileFault(
        [whole_file(path, "it exists already and is not overwritten", "a new name", "give another name")]
    )

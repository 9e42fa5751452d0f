"""Writing a file or a folder that was not there: nothing that somebody has is ever written over."""

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from coach.toml.atomic_write import UNFINISHED, flush_folder, make_folder, write_flushed
from coach.toml.diagnostic import FileFault, reason, whole_file


def write_new(path: Path, data: bytes) -> None:
    """Write a new file, readable by its owner only. FileFault where there is one already, or it cannot be."""
    refuse_existing(path)
    with _told_of(path):
        handle = _created(path)
        try:
            write_flushed(handle, data)
            flush_folder(path.parent)
        except OSError:
            with suppress(OSError):
                path.unlink()
            raise


@contextmanager
def new_folder(folder: Path) -> Iterator[Callable[[str, bytes], None]]:
    """Gives what writes a file into a new folder, by its name in it. Whoever asks sees all of the folder or none.

    FileFault where something has that name already, or where the disk refuses: then there is no new folder.
    """
    refuse_existing(folder)
    with _told_of(folder):
        made = Path(tempfile.mkdtemp(dir=folder.parent, prefix=f".{folder.name}.", suffix=UNFINISHED))  # 0700

    def write(name: str, data: bytes) -> None:
        with _told_of(folder / name):
            make_folder((made / name).parent)
            write_flushed(_created(made / name), data)

    try:
        yield write
        with _told_of(folder):
            for inside in (made, *(one for one in made.rglob("*") if one.is_dir())):
                flush_folder(inside)
            made.rename(folder)  # refuses a folder with anything in it
            flush_folder(folder.parent)
    except BaseException:
        shutil.rmtree(made, ignore_errors=True)
        raise


def refuse_existing(path: Path) -> None:
    """FileFault where something is there already, or where there is no folder to write in."""
    if os.path.lexists(path):
        raise _there_already(path)
    if not path.parent.is_dir():
        what = f"there is no folder {path.parent}"
        raise FileFault([whole_file(path, what, "a name in a folder that is there", "make the folder first")])


def _created(path: Path) -> int:
    return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)


@contextmanager
def _told_of(path: Path) -> Iterator[None]:
    """FileFault where the system refuses."""
    try:
        yield
    except FileExistsError:
        raise _there_already(path) from None
    except OSError as error:
        what = f"it cannot be written: {reason(error)}"
        raise FileFault([whole_file(path, what, mend="name another place")]) from None


def _there_already(path: Path) -> FileFault:
    return FileFault(
        [whole_file(path, "it is there already, and is not written over", "a new name", "give another name")]
    )

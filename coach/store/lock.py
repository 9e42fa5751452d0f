"""The lock of a client's folder: one process at a time writes into it."""

import errno
import os
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from coach.store.client_folder import require_profile
from coach.system import IS_WINDOWS, NO_LINK, is_gone, lock_alone, open_bytes, this_process, to_write_again
from coach.toml.diagnostic import FileFault, error_reason, whole_file

if TYPE_CHECKING:
    from filelock import BaseFileLock


class InUse(Exception):
    """Another process has this client's folder open for writing."""


# What flock(2) answers where another process has the lock, on some network file systems too.
_HELD = (errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES)
# What a file system without locks answers: some network and FUSE file systems have none (flock(2)).
_NO_LOCKS = (errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP, errno.EINVAL)


_LOCK, _IN_USE = ".lock", ".in_use.lock"


class OpenLock:
    """The lock of an open file. The system gives it back when the file is closed, and when the process ends.

    While it is held the file says by whom, for a computer that reaches the folder by a way without locks.
    """

    def __init__(self, handle: int) -> None:
        self._handle = handle
        self._say(this_process())

    def release(self) -> None:
        """Let others have the lock."""
        self._say("")
        os.close(self._handle)

    def _say(self, holder: str) -> None:
        with suppress(OSError):  # a full disk: the lock holds all the same
            os.ftruncate(self._handle, 0)
            os.lseek(self._handle, 0, os.SEEK_SET)
            os.write(self._handle, holder.encode())
            os.fsync(self._handle)  # a server shows others what was flushed

    def __enter__(self) -> None:
        pass

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()


def lock(path: Path) -> "OpenLock | BaseFileLock":
    """Lock a client's folder; the system releases the lock when the process ends, in whatever way.

    On a file system without locks a file with the number of the process stands for the lock. It counts as well for a
    process that reaches the folder by a way with locks. One left by a process killed on this computer is taken over.

    Raises InUse where another process holds it, and FileFault where there is no such folder or it cannot be written.
    """
    require_profile(path)
    try:
        return _acquired(path)
    except OSError as error:
        _refuse_in_its_place(path / _LOCK)
        what = f"nothing can be written here: {error_reason(error)}"
        raise FileFault([whole_file(path, what, "a folder of your own", to_write_again())]) from None


def _refuse_in_its_place(file: Path) -> None:
    """Raise FileFault where a folder or a link has the name of the lock: there is room, and it cannot be locked."""
    kind = "a link" if file.is_symlink() else "a folder" if file.is_dir() else ""
    if kind:
        what, fix = f"this is {kind}, and the lock of the client's folder has this name", "move it out of this folder"
        raise FileFault([whole_file(file, what, "a file, or nothing of this name", fix)])


def _acquired(path: Path) -> "OpenLock | BaseFileLock":
    """The lock of a folder that can be written. Raises InUse where another process holds it, and OSError.

    Two computers may reach one folder by different ways, only one of which has locks. So each first says that it
    holds the folder, and then looks whether the other says so: at worst both are refused.
    """
    if IS_WINDOWS:
        return _by_library(path / _LOCK, path.name)
    handle = open_bytes(path / _LOCK, os.O_RDWR | os.O_CREAT | NO_LINK, 0o600)
    try:
        lock_alone(handle)
    except OSError as error:
        os.close(handle)
        if error.errno in _HELD:
            raise _in_use(path.name) from None
        if error.errno not in _NO_LOCKS:
            raise
        return _without_locks(path)
    held = OpenLock(handle)
    if (path / _IN_USE).exists():
        try:
            _by_library(path / _IN_USE, path.name).release()  # left by a process that was killed
        except BaseException:
            held.release()
            raise
    return held


def _without_locks(path: Path) -> "BaseFileLock":
    """As `_acquired`, where the file system has no locks."""
    held = _by_library(path / _IN_USE, path.name)
    with (path / _LOCK).open("rb") as file:
        said = file.read(200).decode(errors="replace")
    if said and not is_gone(said):
        held.release()
        raise _in_use(path.name, path / _LOCK)
    return held


def _by_library(file: Path, client: str) -> "BaseFileLock":
    """The lock of Windows, and a file that stands for one where there are none: only they wait for the library."""
    from filelock import FileLock, SoftFileLock, Timeout

    held = FileLock(file, mode=0o600) if IS_WINDOWS else SoftFileLock(file, mode=0o600)
    try:
        held.acquire(blocking=False)
    except Timeout:
        raise _in_use(client, None if IS_WINDOWS else file) from None
    return held


def _in_use(client: str, file: Path | None = None) -> InUse:
    """`file` is what says so: the process that wrote it may have been killed on another computer."""
    killed = "" if file is None else f"; if none is open on any computer, remove {file}"
    return InUse(f"another session has {client} open: close that one first{killed}")

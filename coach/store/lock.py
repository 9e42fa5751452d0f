"""The lock of a client's folder: one process at a time writes into it."""

import errno
import warnings
from pathlib import Path

from filelock import BaseFileLock, FileLock, SoftFileLock, Timeout

from coach.store.client_folder import require_profile
from coach.toml.diagnostic import FileFault, error_reason, whole_file


class InUse(Exception):
    """Another process has this client's folder open for writing."""


# What a file system without locks answers: some network and FUSE file systems have none (flock(2)).
_NO_LOCKS = (errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP, errno.EINVAL)


def lock(path: Path) -> BaseFileLock:
    """Lock a client's folder; the system releases the lock when the process ends, in whatever way.

    On a file system without locks a file with the number of the process stands for the lock. One that a killed
    process has left is taken over if that was on this computer.

    Raises InUse where another process holds it, and FileFault where there is no such folder or it cannot be written.
    """
    require_profile(path)
    try:
        return _acquired(path)
    except Timeout:
        raise InUse(f"another session has {path.name} open: close that one first") from None
    except OSError as error:
        what = f"nothing can be written here: {error_reason(error)}"
        fix = "ask the owner of the folder, or make room on the disk"
        raise FileFault([whole_file(path, what, "a folder of your own", fix)]) from None


def _acquired(path: Path) -> BaseFileLock:
    held: BaseFileLock = FileLock(path / ".lock", mode=0o600)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # the library takes a file instead in one of these cases
            held.acquire(blocking=False)
    except OSError as error:
        if error.errno not in _NO_LOCKS or isinstance(error, Timeout):
            raise
        held = SoftFileLock(path / ".in_use.lock", mode=0o600)
        held.acquire(blocking=False)
    return held

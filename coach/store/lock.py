"""The lock of a client's folder: one process at a time writes into it."""

from pathlib import Path

from filelock import FileLock, Timeout

from coach.store.client_folder import require_profile
from coach.toml.diagnostic import FileFault, error_reason, whole_file


class InUse(Exception):
    """Another process has this client's folder open for writing."""


def lock(path: Path) -> FileLock:
    """Lock a client's folder; the system releases the lock when the process ends, in whatever way.

    Raises InUse where another process holds it, and FileFault where there is no such folder or it cannot be written.
    """
    require_profile(path)
    held = FileLock(path / ".lock", mode=0o600)
    try:
        held.acquire(blocking=False)
    except Timeout:
        raise InUse(f"another session has {path.name} open: close that one first") from None
    except OSError as error:
        what = f"nothing can be written here: {error_reason(error)}"
        fix = "ask the owner of the folder, or make room on the disk"
        raise FileFault([whole_file(path, what, "a folder of your own", fix)]) from None
    return held

"""One session a profile at a time."""

from pathlib import Path

from filelock import FileLock, Timeout


class InUse(Exception):
    """Another session has this profile open."""


def lock(path: Path) -> FileLock:
    """Hold the profile for one session; the system lets go of it when the process ends, however it ends.

    InUse where another session holds it; OSError where the folder cannot be written.
    """
    held = FileLock(path / ".lock", mode=0o600)
    try:
        held.acquire(blocking=False)
    except Timeout:
        raise InUse(f"another session has {path.name} open: close that one first") from None
    return held

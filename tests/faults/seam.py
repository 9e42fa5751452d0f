"""Where the program meets the disk: every call on a file of one folder passes here, and can be made to go wrong."""

import errno
import os
import random
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

Before = Callable[[str, tuple[Any, ...]], None]
"""Told of a call before it is made; raises, or never comes back, where the call is to fail."""

_CALLS = ("open", "write", "fsync", "replace", "unlink", "truncate", "mkdir")


def put_in(folder: Path, before: Before, after: Before = lambda _, __: None) -> None:
    """Have every call on files of a folder announced; for the rest of this process."""
    for name in _CALLS:
        _wrap(folder, name, getattr(os, name), before, after)


def _wrap(folder: Path, name: str, real: Callable[..., Any], before: Before, after: Before) -> None:
    def call(*given: Any, **named: Any) -> Any:
        if not _is_ours(folder, name, given):
            return real(*given, **named)
        before(name, given)
        result = real(*given, **named)
        after(name, given if name != "open" else (*given[:2], result))
        return result

    setattr(os, name, call)


def _is_ours(folder: Path, name: str, given: tuple[Any, ...]) -> bool:
    if name == "open" and not given[1] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
        return False
    path = path_of(given[0]) if isinstance(given[0], int) else os.fspath(given[0])
    return f"{path}/".startswith(f"{folder}/") and not path.endswith(".lock")


def path_of(handle: int) -> str:
    """The path behind an open handle, as Linux tells it."""
    return os.readlink(f"/proc/self/fd/{handle}")  # noqa: PTH115


def partly(write: Callable[[int, bytes], int], given: tuple[Any, ...], chance: random.Random) -> None:
    """A write that stops at any byte."""
    write(given[0], given[1][: chance.randrange(len(given[1]) + 1)])


def dies_at_a_call(folder: Path, chance: random.Random) -> None:
    """kill -9 at one call, or in the middle of one write."""
    left, write = chance.randrange(160), os.write

    def before(name: str, given: tuple[Any, ...]) -> None:
        nonlocal left
        left -= 1
        if left < 0:
            if name == "write":
                partly(write, given, chance)
            os.kill(os.getpid(), signal.SIGKILL)

    put_in(folder, before)


def refuses(
    folder: Path, chance: random.Random, calls: tuple[str, ...], number: int, first: int | None = None
) -> None:
    """The disk refuses some calls from one on, for a while; a write that is refused is first done in part."""
    left, times, write = chance.randrange(160) if first is None else first, chance.randrange(1, 6), os.write

    def before(name: str, given: tuple[Any, ...]) -> None:
        nonlocal left, times
        left -= 1
        if left < 0 and times > 0 and name in calls:
            times -= 1
            if name == "write":
                partly(write, given, chance)
            raise OSError(number, os.strerror(number))

    put_in(folder, before)


def full(folder: Path, chance: random.Random) -> None:
    """No space left: writes end early, and no file can be made."""
    refuses(folder, chance, ("write", "mkdir"), errno.ENOSPC)


def flush_fails(folder: Path, chance: random.Random) -> None:
    """The data went to the disk's cache and not further."""
    refuses(folder, chance, ("fsync",), errno.EIO)


def read_only(folder: Path, chance: random.Random) -> None:
    """The folder became read-only under the session, and comes back."""
    refuses(folder, chance, ("open", "replace", "mkdir", "truncate", "unlink"), errno.EROFS)


def gone(folder: Path, chance: random.Random) -> None:
    """A stick pulled, a network folder away: nothing works, not even taking back what was begun."""
    refuses(folder, chance, _CALLS, errno.EIO)


def no_larger(folder: Path, chance: random.Random) -> None:
    """The system's own limit on the size of a file, given up after some refusals: a real short write."""
    import resource

    sizes = [path.stat().st_size for path in folder.rglob("*.toml")]
    limit = max(sizes) + chance.randrange(3000)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
    left, write = chance.randrange(1, 4), os.write

    def counted(handle: int, data: bytes) -> int:
        nonlocal left
        try:
            return write(handle, data)
        except OSError:
            left -= 1
            if left == 0:
                resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
            raise

    os.write = counted  # type: ignore[assignment]  # of this process only

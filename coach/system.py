"""Where systems differ: every call that only some of them have is in here, and what stands in its place elsewhere.

What was run on which system is in DEVELOPERS.md, under "Three systems". What is done on macOS follows the
documentation of Python.
"""

import errno
import os
import signal
import stat
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from functools import partial
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from multiprocessing.context import BaseContext

IS_WINDOWS = sys.platform == "win32"
# Flags of os.open: a link is not followed, a pipe is not waited for. Windows has neither.
NO_LINK: int = getattr(os, "O_NOFOLLOW", 0)
NO_WAIT: int = getattr(os, "O_NONBLOCK", 0)

_NO_FOLDER_FLUSH = (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP)
# The exit code of a process that SIGHUP ended. Windows has no such signal.
if sys.platform == "win32":
    _HANGUP = 1
else:
    _HANGUP = 128 + signal.SIGHUP

# Windows hears of Ctrl-C only between two waits. Our own choice, no source: soon enough for a key, and few wakings.
_HEARD_S = 0.2
# Windows renames, replaces and deletes no file that another program has open. A virus scanner or a sync program opens
# each file that has just changed and soon closes it, so it is tried for a second. An editor may keep it open longer.
# How often and how long is our own choice, no source: whoever pressed a key can wait for a second.
_TRIES, _BETWEEN_TRIES_S = 20, 0.05


def open_bytes(path: "str | os.PathLike[str]", flags: int, mode: int = 0o777) -> int:
    """As `os.open`. Windows would write two bytes for each line end, and read no further than a byte 26."""
    return os.open(path, flags | getattr(os, "O_BINARY", 0), mode)


def move(source: Path, target: Path, *, replaces: bool = True) -> None:
    """Rename a file or a folder, as `Path.replace`; or as `Path.rename`, which replaces no file on Windows.

    Where Windows refuses it, it is tried again for a second. Raises OSError.
    """
    _tried_again(partial(source.replace if replaces else source.rename, target))


def remove(path: Path) -> None:
    """Delete a file, if it is there. Where Windows refuses it, it is tried again for a second. Raises OSError."""
    _tried_again(partial(path.unlink, missing_ok=True))


def _tried_again(act: Callable[[], object]) -> None:
    for left in reversed(range(_TRIES if IS_WINDOWS else 1)):
        try:
            act()
        except PermissionError:
            if not left:
                raise
            time.sleep(_BETWEEN_TRIES_S)
        else:
            return


def is_reader_gone(error: OSError) -> bool:
    """Whether an error of writing to standard output means that the program that read it has ended.

    On Windows writing to such a pipe fails with EINVAL (source: CPython, `subprocess`, on bpo-19612), as many other
    calls do. It names no file then, and the output is a pipe; writing an empty line shows whether it was that.
    """
    if not IS_WINDOWS or error.errno != errno.EINVAL:
        return isinstance(error, BrokenPipeError)
    if error.filename is not None or not _writes_to_a_pipe():
        return False
    try:
        print(flush=True)
    except OSError:
        return True
    return False


def _writes_to_a_pipe() -> bool:
    """Whether the output goes to another program (`_Py_fstat_noraise` of CPython tells a pipe on Windows too)."""
    try:
        return stat.S_ISFIFO(os.fstat(sys.stdout.fileno()).st_mode)
    except (OSError, ValueError):  # it is closed, or no file
        return False


def to_write_again() -> str:
    """What to do where a file cannot be written; on Windows another program may have it open."""
    held = "close it in other programs, " if IS_WINDOWS else ""
    return f"{held}make room on the disk, or ask the owner of the folder"


def each_file(paths: Iterable[Path]) -> Iterator[Path]:
    """The paths as they were typed, with * and ? in the last part filled in, as shells do but not that of Windows."""
    for path in paths:
        pattern = path.name.replace("[", "[[]") if IS_WINDOWS else ""
        found = sorted(path.parent.glob(pattern)) if "*" in pattern or "?" in pattern else []
        with_hidden = pattern.startswith(".")
        yield from [one for one in found if with_hidden or not one.name.startswith(".")] or [path]


def user_cache(environment: Mapping[str, str], program: str) -> Path:
    """The folder for files that a program can make again. Raises RuntimeError where the user has no folder.

    On Windows it is one that stays on the computer: others may be copied to a server when the user logs out.
    Sources: XDG Base Directory Specification 0.8; Microsoft, Known Folders, FOLDERID_LocalAppData (from memory).
    """
    if IS_WINDOWS:
        local = Path(environment.get("LOCALAPPDATA", ""))
        return (local if local.is_absolute() else Path.home() / "AppData" / "Local") / program / "Cache"
    cache = Path(environment.get("XDG_CACHE_HOME", ""))
    return (cache if cache.is_absolute() else Path.home() / ".cache") / program


def flush_folder(folder: Path) -> None:
    """Flush the entries of a folder to the disk, on systems and file systems that can.

    Some network and FUSE file systems cannot (fsync(2): EINVAL), and Windows opens no folder as a file: what was
    renamed there may come back as it was before if the power fails at once.
    """
    if IS_WINDOWS:
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _NO_FOLDER_FLUSH:
            raise
    finally:
        os.close(handle)


def flush_everything() -> bool:
    """Write everything that waits to the disk; False where that call may return before it is written.

    Linux waits for it (sync(2)); thousands of files take as long as a few.
    """
    if sys.platform != "linux":
        return False
    os.sync()
    return True


def steady_s() -> float:
    """Seconds of a clock that cannot be set and that goes on while the computer sleeps, where the system has one.

    Linux: CLOCK_BOOTTIME, clock_gettime(2). macOS: CLOCK_MONOTONIC as that system has it, while time.monotonic stands
    still there (from memory). Elsewhere time.monotonic; `SessionClock` makes up for what it misses.
    """
    if sys.platform == "linux":
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    if sys.platform == "darwin":
        return time.clock_gettime(time.CLOCK_MONOTONIC)
    return time.monotonic()


def is_own(found: os.stat_result, root_too: bool = False) -> bool:
    """Whether a file is this user's; `root_too`: or the administrator's. Windows keeps owners elsewhere."""
    if sys.platform == "win32":
        return True
    return found.st_uid == os.getuid() or (root_too and found.st_uid == 0)


def is_readable_by_others(found: os.stat_result) -> bool:
    """Whether others than the owner may read a file. Windows keeps that in lists that Python does not read."""
    return not IS_WINDOWS and bool(found.st_mode & 0o077)


def is_writable_by_others(found: os.stat_result) -> bool:
    """Whether others than the owner may write a file or into a folder; as `is_readable_by_others` on Windows."""
    return not IS_WINDOWS and bool(found.st_mode & 0o022)


def lock_alone(handle: int) -> None:
    """Lock an open file for this process, not on Windows: there `filelock` does it.

    Raises OSError at once where another process has it locked, and where the file system has no locks.
    """
    if sys.platform != "win32":
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def this_process() -> str:
    """This process as text for `is_gone`: its number, and the system that gave it. Empty on Windows."""
    if sys.platform == "win32":
        return ""
    return f"{os.getpid()} {_this_system()}"


def _this_system() -> str:
    """Where a process's number is valid: this computer since it was started, and on Linux the PID namespace."""
    if sys.platform == "win32":
        return ""
    parts = [os.uname().nodename]
    if sys.platform == "linux":
        with suppress(OSError):
            parts.append(Path("/proc/sys/kernel/random/boot_id").read_text(encoding="utf-8").strip())
            parts.append(str(Path("/proc/self/ns/pid").readlink()))
    return " ".join(parts)


def is_gone(process: str) -> bool:
    """Whether a process that `this_process` named has ended. False for one elsewhere, which is not known."""
    number, _, system = process.partition(" ")
    if sys.platform == "win32" or system != _this_system() or not number.isdecimal():
        return False
    try:
        os.kill(int(number), 0)
    except (OSError, OverflowError) as error:
        return isinstance(error, ProcessLookupError)
    return False


def forking() -> "BaseContext | None":
    """How to start processes that have everything this one has read; None where the system cannot."""
    import multiprocessing

    if "fork" not in multiprocessing.get_all_start_methods():
        return None
    return multiprocessing.get_context("fork")


def end_without_terminal() -> None:
    """End the process at once, as one that was hung up."""
    os._exit(_HANGUP)


def exit_on_signals(leave: Callable[[int], None]) -> None:
    """Call `leave` with an exit code on SIGTERM; on SIGHUP, when there is no terminal to restore, end at once.

    On Windows event loops take no signal handlers, and closing the console ends the process.
    """
    if sys.platform == "win32":
        return
    import asyncio

    code = 128 + signal.SIGTERM
    asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, leave, code)
    signal.signal(signal.SIGHUP, signal.SIG_DFL)


class Reader(Protocol):
    """Reads what comes in."""

    def __call__(self, timeout_s: float | None) -> bytes | None:
        """What came within so many seconds, empty at the end of the input; None where nothing came."""


def reader_of(handle: int, most_bytes: int) -> Reader:
    """Reads a terminal or a pipe without busy waiting."""
    return _in_a_thread(handle, most_bytes) if IS_WINDOWS else _selected(handle, most_bytes)


def _selected(handle: int, most_bytes: int) -> Reader:
    import select

    def read(timeout_s: float | None) -> bytes | None:
        ready, _, _ = select.select([handle], [], [], timeout_s)
        return os.read(handle, most_bytes) if ready else None

    return read


def _in_a_thread(handle: int, most_bytes: int) -> Reader:
    """Where only sockets can be waited for (select, in the documentation of Python): a thread waits for the input.

    It reads through a file: that gives UTF-8 from a console, and `os.read` the bytes of the console's code page. It
    reads only what was asked for: a line that comes later is left for whoever asks next in another way.
    """
    import queue
    import threading

    asked, came = queue.SimpleQueue[None](), queue.SimpleQueue[bytes]()
    typed = open(handle, "rb", buffering=0, closefd=False)  # noqa: SIM115  # as long as the process

    def wait() -> None:
        chunk = b"-"
        while chunk:
            asked.get()
            try:
                chunk = typed.read(most_bytes)
            except OSError:
                chunk = b""
            came.put(chunk)

    thread = threading.Thread(target=wait, daemon=True)
    is_asked = False

    def read(timeout_s: float | None) -> bytes | None:
        nonlocal is_asked
        if thread.ident is None:
            thread.start()
            timeout_s = None if timeout_s is None else max(timeout_s, _HEARD_S)  # to be told of what came before
        if not is_asked:
            asked.put(None)
        is_asked = True
        until_s = inf if timeout_s is None else time.monotonic() + timeout_s
        while True:
            left_s = until_s - time.monotonic()
            try:
                chunk = came.get(timeout=min(max(left_s, 0.0), _HEARD_S))
            except queue.Empty:
                if left_s <= 0:
                    return None
            else:
                is_asked = False
                return chunk

    return read

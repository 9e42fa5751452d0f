"""The passphrase of a sealed file: typed, without being shown, or read from a file that only its owner can read."""

import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from coach.model.messages.therapist_reports import BackupMessages
    from coach.toml.diagnostic import FileFault, Refusal

_OPTION = "--passphrase-file"
_LONGEST = 1024  # bytes
_TRIES = 3


def add_passphrase(command: "argparse.ArgumentParser") -> None:
    """Add --passphrase-file. There is no option for the passphrase itself: other users see command lines."""
    command.add_argument(
        _OPTION,
        type=Path,
        metavar="FILE",
        help="read the passphrase from the first line of a file that only you can read (default: ask for it)",
    )


def new_passphrase(file: Path | None, messages: "BackupMessages") -> str:
    """A passphrase to seal with, typed twice. Raises FileFault, and Refusal where it is too short or none can be."""
    from coach.exchange.sealed_backup import SHORTEST
    from coach.model.message_format import fill

    if file is not None:
        given = _first_line(file)
        if len(given) < SHORTEST:
            raise _unsuitable(file, f"the passphrase has {len(given)} characters", f"at least {SHORTEST}")
        return given
    _require_terminal()
    too_short = fill(messages.passphrase_short, {"count": SHORTEST})
    print(fill(messages.passphrase_new, {"count": SHORTEST}), flush=True)
    for _ in range(_TRIES):
        typed = _typed(messages.passphrase)
        if len(typed) < SHORTEST:
            print(too_short, flush=True)
        elif _typed(messages.passphrase_again) != typed:
            print(messages.passphrase_differs, flush=True)
        else:
            return typed
    raise _refused("no passphrase was chosen, and nothing was written", "begin again")


def known_passphrase(file: Path | None, messages: "BackupMessages") -> str:
    """The passphrase of a sealed file. Raises FileFault, and Refusal where none can be typed."""
    if file is not None:
        return _first_line(file)
    _require_terminal()
    return _typed(messages.passphrase)


def _require_terminal() -> None:
    from coach.screens.terminal import is_terminal

    if not is_terminal():
        raise _refused("a passphrase cannot be typed here", f"name a file that holds it with {_OPTION}")


def _typed(prompt: str) -> str:
    from getpass import getpass

    try:
        return getpass(f"{prompt}: ")
    except EOFError:
        raise _refused("no passphrase was typed, and nothing was written", "begin again") from None


def _first_line(path: Path) -> str:
    from coach.system import NO_WAIT, is_own, is_readable_by_others, open_bytes
    from coach.toml.diagnostic import error_reason

    try:
        handle = open_bytes(path, os.O_RDONLY | NO_WAIT)  # a pipe is refused, not waited for
        with os.fdopen(handle, "rb") as file:
            found = os.fstat(file.fileno())
            if not stat.S_ISREG(found.st_mode):
                raise _unsuitable(path, "this is not an ordinary file", "a file")
            if is_readable_by_others(found) or not is_own(found, root_too=True):
                fix = f"chmod 600 {path}, and choose another passphrase if somebody may have read it"
                raise _unsuitable(path, "others than you can read this file", "a file that only you can read", fix)
            data = file.read(_LONGEST + 1)
        lines = data.decode("utf-8-sig").splitlines()  # some editors on Windows begin a file with a byte-order mark
    except OSError as error:
        raise _unsuitable(path, f"it cannot be read: {error_reason(error)}", "a file") from None
    except UnicodeDecodeError:
        raise _unsuitable(path, "this is not text in UTF-8", "a passphrase in the first line") from None
    text = lines[0] if lines else ""
    if not text or len(data) > _LONGEST:
        raise _unsuitable(path, "there is no passphrase in it", "a passphrase in the first line")
    return text


def _unsuitable(path: Path, what: str, expected: str, fix: str = "name another file") -> "FileFault":
    from coach.toml.diagnostic import FileFault, whole_file

    return FileFault([whole_file(path, what, expected, fix)])


def _refused(what: str, fix: str) -> "Refusal":
    from coach.toml.diagnostic import Refusal, whole_file

    return Refusal([whole_file(Path(), what, "", fix)])

"""The command with a witness: `python -m tests.privacy.audited LOG ARGUMENTS`.

Into LOG goes, a line each, what the interpreter itself reports (PEP 578): every socket, every address looked up,
every program started, every file opened for writing, every folder made, every move.
"""

import os
import sys
from typing import Any

_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_APPEND


def main(log: str, *arguments: str) -> int:
    """Run the command; its exit code."""
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def witness(event: str, given: tuple[Any, ...]) -> None:
        line = _line(event, given)
        if line:
            os.write(out, f"{line}\n".encode())

    sys.addaudithook(witness)
    from coach.cli import main as coach

    return coach(arguments)


def _line(event: str, given: tuple[Any, ...]) -> str:
    match event:
        case "open":
            path, mode, flags = given
            writes = any(letter in (mode or "") for letter in "wax+") or (flags or 0) & _WRITES
            return f"writes {_text(path)}" if writes and not isinstance(path, int) else ""
        case "os.mkdir" | "os.truncate" | "os.symlink" | "os.link":
            return "" if isinstance(given[0], int) else f"writes {_text(given[0])}"  # an open file was told before
        case "os.rename":
            return f"writes {_text(given[1])}"
        case "subprocess.Popen" | "os.exec" | "os.posix_spawn" | "os.system":
            return f"starts {given[0]}"
        case "socket.__new__":
            return f"socket {int(given[1])}"
        case _ if event.startswith(("socket.", "urllib.", "http.", "ftplib.", "smtplib.")):
            return event
    return ""


def _text(path: object) -> str:
    return os.fsdecode(path) if isinstance(path, str | bytes | os.PathLike) else str(path)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))

"""The name of this computer as a writer, and what it knows of a client when it writes something.

The name is drawn once and kept for this user, outside of every client's folder: a copied folder brings none along.
"""

from collections.abc import Iterable
from pathlib import Path
from platform import node

from platformdirs import user_state_path

from coach.model.programme.written import Written
from coach.sha256 import sha256
from coach.toml.atomic_write import make_folder
from coach.toml.diagnostic import FileFault
from coach.toml.new_file import write_new

_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is easily taken for another
_LENGTH = 8


def written_now(there: Iterable[Written | None]) -> Written:
    """What this computer writes next of a client; `there` is everything of that client that it has."""
    writer, seen, number = writer_name(), dict[str, int](), 0
    for one in there:
        if one is None:
            continue
        if one.writer == writer:
            number = max(number, one.number)
        else:
            seen[one.writer] = max(seen.get(one.writer, 0), one.number)
    return Written(writer=writer, number=number + 1, seen=dict(sorted(seen.items())))


def writer_name() -> str:
    """The name of this computer.

    Where it cannot be kept, it is made from the name that the computer has in its network and from the user's folder.
    """
    path = user_state_path("steady-arc", appauthor=False) / "writer"
    kept = _kept(path)
    if kept:
        return kept
    import secrets

    try:
        make_folder(path.parent)
        write_new(path, "".join(secrets.choice(_LETTERS) for _ in range(_LENGTH)).encode())
    except (OSError, FileFault):
        pass  # another process was first, or nothing can be written there
    return _kept(path) or _derived()


def _kept(path: Path) -> str:
    try:
        found = path.read_text(encoding="utf-8").strip()
    except (OSError, ValueError):
        return ""
    return found if len(found) == _LENGTH and set(found) <= set(_LETTERS) else ""


def _derived() -> str:
    digest = sha256(f"{node()}\0{Path.home()}".encode()).digest()
    return "".join(_LETTERS[byte % len(_LETTERS)] for byte in digest[:_LENGTH])

"""When a folder of clients was last looked at on this computer, and what came in since then."""

import os
from collections.abc import Iterable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from platformdirs import user_state_path

from coach.sha256 import sha256
from coach.store.arrivals.arrivals import ARRIVED, Arrival, read_arrivals
from coach.toml.atomic_write import make_folder


def came_in(folder: Path, clients: Iterable[str]) -> dict[str, tuple[Arrival, ...]]:
    """What came with sealed files since this folder was last looked at, by the names of the clients' folders."""
    since = _last_look(folder)
    found: dict[str, tuple[Arrival, ...]] = {}
    for name in clients:
        try:
            changed = (folder / name / ARRIVED).stat().st_mtime
        except OSError:
            continue
        if since is None or changed > since.timestamp():
            new = tuple(one for one in read_arrivals(folder / name).arrival if since is None or one.at > since)
            found |= {name: new} if new else {}
    return found


def note_look(folder: Path, at: datetime) -> None:
    """Note that the folder was looked at; where that cannot be kept, the same is told once more."""
    path = _path(folder)
    with suppress(OSError):
        make_folder(path.parent)
        path.touch(mode=0o600)
        os.utime(path, (at.timestamp(), at.timestamp()))


def _last_look(folder: Path) -> datetime | None:
    try:
        return datetime.fromtimestamp(_path(folder).stat().st_mtime, UTC)
    except OSError:
        return None


def _path(folder: Path) -> Path:
    """A file whose time is that of the last look; its name says nothing of the folder's."""
    name = sha256(os.fsencode(folder.resolve())).hexdigest()[:32]
    return user_state_path("steady-arc", appauthor=False) / "looked" / name

"""The demo profiles as they were made, whatever sessions somebody has done on them since."""

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

from coach.store.client_paths import KEPT
from tests.demo.histories import HISTORIES, PROGRAMMES

TREE = Path(__file__).parent.parent.parent
WRITTEN_BY_HAND = ("profile.toml", "prescription.toml", "programme/0001.toml")
_SHIPPED = TREE / "demo_profiles"
_MADE = {**HISTORIES, **PROGRAMMES}


@cache
def demo() -> Path:
    """The folder of the demo profiles; where a session was done on one, as the README does, a copy without it."""
    if not any(map(_is_used, _MADE)):
        return _SHIPPED
    copy = Path(tempfile.mkdtemp(prefix="demo_profiles"))
    atexit.register(shutil.rmtree, copy, ignore_errors=True)
    for file in _SHIPPED.glob("*.*"):
        shutil.copy(file, copy)
    for name in _MADE:
        copy_client(_SHIPPED / name, copy / name, name)
    return copy


def copy_pristine(target: Path) -> Path:
    """The demo profiles with the records of their made histories only, and the progress those give."""
    for name in _MADE:
        copy_client(_SHIPPED / name, target / name, name)
    return target


def copy_client(source: Path, folder: Path, name: str) -> None:
    """One demo client as made."""
    from coach.content_files.content_folder import content_folder, load_content
    from coach.store.client_folder import save_progress
    from coach.store.client_store import ClientStore

    folder.mkdir(parents=True)
    for file in WRITTEN_BY_HAND:
        # Where a session has moved the client to format 2, what it replaced was kept; the programme is then not ours.
        kept = source / KEPT / file if (source / KEPT).exists() else source / file
        if kept.exists():
            (folder / file).parent.mkdir(exist_ok=True)
            shutil.copy(kept, folder / file)
    records = [record for record in (source / "records").glob("*.toml") if _is_made(record, name)]
    if records:
        (folder / "records").mkdir()
        for record in records:
            shutil.copy(record, folder / "records" / record.name)
        content = load_content(content_folder(), "en")
        save_progress(folder, [one.folded_progress for one in ClientStore.read(folder, content).exercises])


def _is_made(record: Path, name: str) -> bool:
    history = _MADE[name]
    return record.name.startswith(tuple(day.isoformat() for day in history.days()[: history.sessions]) or ("-",))


def _is_used(name: str) -> bool:
    """Whether anything lies in a client's folder that did not come with it."""
    folder = _SHIPPED / name
    ours = {folder / file for file in (*WRITTEN_BY_HAND, *(["progress.toml"] if _MADE[name].sessions else []))}
    found = {path for path in folder.rglob("*") if path.is_file()}
    return any(path not in ours and not _is_made(path, name) for path in found) or (folder / KEPT).exists()


DEMO = demo()

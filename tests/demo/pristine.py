"""The demo profiles as they were made, whatever sessions somebody has done on them since."""

import shutil
from pathlib import Path

from tests.demo.histories import HISTORIES, PROGRAMMES

TREE = Path(__file__).parent.parent.parent
WRITTEN_BY_HAND = ("profile.toml", "prescription.toml", "programme/0001.toml")


def copy_pristine(target: Path) -> Path:
    """The demo profiles with the records of their made histories only, and the progress those give."""
    from coach.content_files.content_folder import content_folder, load_content
    from coach.store.client_folder import save_progress
    from coach.store.client_store import ClientStore

    content = load_content(content_folder(), "en")
    for name, history in {**HISTORIES, **PROGRAMMES}.items():
        source, folder = TREE / "demo_profiles" / name, target / name
        folder.mkdir(parents=True)
        for file in WRITTEN_BY_HAND:
            if (source / file).exists():
                (folder / file).parent.mkdir(exist_ok=True)
                shutil.copy(source / file, folder / file)
        days = tuple(day.isoformat() for day in history.days()[: history.sessions])
        if days:
            (folder / "records").mkdir()
            for record in (source / "records").glob("*.toml"):
                if record.name.startswith(days):
                    shutil.copy(record, folder / "records" / record.name)
            save_progress(folder, [one.folded_progress for one in ClientStore.read(folder, content).exercises])
    return target

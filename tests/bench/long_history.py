"""An invented client with ten years of sessions, three a week: for the benches only."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from shutil import copytree

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.session.plan import plan_session
from coach.session.rehearsal import rehearse
from coach.store.client_folder import records_folder
from coach.store.client_store import ClientStore
from coach.store.records import record_file
from tests.demo.pristine import DEMO

TREE = Path(__file__).parent.parent.parent
SESSIONS = 1500
_FIRST_DAY = datetime(2016, 1, 4, 18, 0, tzinfo=UTC)


def write_long_history(folder: Path, sessions: int = SESSIONS) -> Path:
    """A copy of a demo client with so many sessions, as after the last of them. The client's folder."""
    client = Path(copytree(DEMO / "tern", folder / "tern"))
    content = load_content(content_folder(), "en")
    one = ClientStore.read(client, content)
    plan = plan_session(one.profile, one.prescription, content, one.progress)
    done = rehearse(plan, Answers(), _FIRST_DAY)[0]
    text = record_file.create(records_folder(client), done)
    record_file.append(text, done.entry)
    # Without their hashes, which are those of the one day.
    shape = re.sub(r"(?m)^# whole .*$", "# whole", text.read_text(encoding="utf-8"))
    text.unlink()
    for number in range(sessions):
        day = _FIRST_DAY + timedelta(days=7 * number / 3)
        moved = shape.replace(f"{_FIRST_DAY:%Y-%m-%d}", f"{day:%Y-%m-%d}")
        (records_folder(client) / f"{day:%Y-%m-%dT180000}.toml").write_text(moved, encoding="utf-8")
    ClientStore.read(client, content).save(_FIRST_DAY)
    return client

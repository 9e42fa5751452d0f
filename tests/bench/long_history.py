"""An invented client with ten years of sessions, three a week: for the benches only."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from shutil import copytree

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.session.plan import plan_session
from coach.session.rehearsal import rehearse
from coach.store import record_file
from coach.store.client_folder import read_profile_folder, records_folder, save_progress
from coach.store.client_store import judged, seal

TREE = Path(__file__).parent.parent.parent
SESSIONS = 1500
_FIRST_DAY = datetime(2016, 1, 4, 18, 0, tzinfo=UTC)


def write_long_history(folder: Path, sessions: int = SESSIONS) -> Path:
    """A copy of a demo client with so many sessions, sealed as after the last of them. The client's folder."""
    client = Path(copytree(TREE / "demo_profiles" / "tern", folder / "tern"))
    content = load_content(content_folder(), "en")
    one = read_profile_folder(client)
    plan = plan_session(one.profile, one.prescription, content, judged(one, content)[0])
    done = rehearse(plan, Answers(), _FIRST_DAY)[0]
    text = record_file.create(records_folder(client), done)
    shape = text.read_text(encoding="utf-8")
    record_file.append(text, done.entry)
    shape = text.read_text(encoding="utf-8")
    text.unlink()
    for number in range(sessions):
        day = _FIRST_DAY + timedelta(days=7 * number / 3)
        moved = shape.replace(f"{_FIRST_DAY:%Y-%m-%d}", f"{day:%Y-%m-%d}")
        (records_folder(client) / f"{day:%Y-%m-%dT180000}.toml").write_text(moved, encoding="utf-8")
    save_progress(client, judged(read_profile_folder(client), content)[0])
    seal(client, content)
    return client

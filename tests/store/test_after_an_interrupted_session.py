"""Where the decision on an interrupted session lets no other one begin, none begins."""

import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from coach.commands.support.output import NOT_NOW, exit_code_of
from coach.model.answers_file import Answers
from coach.session.rehearsal import rehearse
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.live_session import NotAdmitted, open_session, start_session
from coach.store.programme.opening import due_exercises
from coach.store.records import record_file
from tests.clocks import START, FakeClock
from tests.demo.pristine import DEMO
from tests.plans import plan_of, shipped
from tests.screens.plain.output_lines import told


def interrupted(folder: Path, *days_ago: float) -> Path:
    """A client with sessions so many days ago, the last of them left after one set."""
    client = Path(shutil.copytree(DEMO / "tern", folder / "tern"))
    (client / "records").mkdir()
    for number, days in enumerate(days_ago, start=1):
        record, _ = rehearse(plan_of("tern"), Answers(), START - timedelta(days=days))
        if number == len(days_ago):
            upto = next(at for at, entry in enumerate(record.entry) if entry.kind == "set")
            record = record.model_copy(update={"entry": record.entry[: upto + 1]})
        file = client / "records" / f"{record.started:%Y-%m-%dT%H%M%S}.toml"
        file.write_text(record_file.as_text(record), encoding="utf-8")
    return client


def test_a_review_that_the_interrupted_session_came_to_lets_no_new_one_begin(tmp_path: Path) -> None:
    """Twelve weeks were over at the start of it: closed, it leads to a review."""
    client, clock = interrupted(tmp_path, 90, 3, 0.005), FakeClock()
    opening = open_session(ClientStore.read(client, shipped()), clock())
    assert opening.interrupted is not None
    with pytest.raises(NotAdmitted, match="therapist") as refused:
        start_session(opening, clock, resume=False)
    store = ClientStore.read(client, shipped())
    assert str(refused.value) == store.admission(START).sentence
    assert (store.progress.status, store.folder.open_record) == ("review", None)
    assert exit_code_of(refused.value) == NOT_NOW


def test_without_a_review_a_new_one_begins(tmp_path: Path) -> None:
    client, clock = interrupted(tmp_path, 20, 3, 0.005), FakeClock()
    opening = open_session(ClientStore.read(client, shipped()), clock())
    assert start_session(opening, clock, resume=False).state.record.started == START


def test_a_reason_that_all_exercises_share_is_said_once(demo_profiles: Path) -> None:
    client = demo_profiles / "curlew"
    file = client / "programme" / "0001.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("[dose]", "repaired_on = 2026-11-10\n\n[dose]", 1), encoding="utf-8")
    store, clock = ClientStore.read(client, shipped()), FakeClock()
    with pytest.raises(NotAdmitted) as refused:
        open_session(store, clock())
    reasons = {one.admission(START, one.progress_before_open_record).sentence for one in due_exercises(store, START)}
    assert len(reasons) == 1
    assert str(refused.value) == reasons.pop()


def test_a_session_that_was_only_opened_leaves_what_the_one_before_it_told(demo_profiles: Path) -> None:
    """Once the stop for pain was off the list as soon as the client had looked at the first page again."""
    client = demo_profiles / "tern"
    assert told(client, ["", "", "p", "2", "1", "6", "y", ""]).finished
    clock = FakeClock(START + timedelta(days=2))
    start_session(open_session(ClientStore.read(client, shipped()), clock()), clock)
    assert len(ClientStore.read(client, shipped()).records) == 2
    assert summary_of(client, shipped(), clock().at).rule == "pain_over_limit"

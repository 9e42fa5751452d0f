"""The same records give the same state: on any machine, in any zone, on days with a clock change, past midnight."""

import os
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.record import Record
from coach.progression.state_machine import fold
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from tests.demo.histories import HISTORIES
from tests.plans import shipped
from tests.progression.records import STEPS, book, judge, prescription, session, standing

_FOLD = """
import sys
from pathlib import Path
from coach.content_files.content_folder import content_folder, load_content
from coach.store.client_folder import progress_text
from coach.store.client_store import ClientStore
for folder in sorted(Path(sys.argv[1]).iterdir()):
    client = ClientStore.read(folder, load_content(content_folder(), "en"))
    sys.stdout.buffer.write(progress_text([client.folded_progress]).encode())
"""
_BERLIN = ZoneInfo("Europe/Berlin")


def folded_with(folder: Path, **environment: str) -> bytes:
    """progress.toml of every demo client as another interpreter folds it."""
    values = {**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent.parent), **environment}
    command = [sys.executable, "-c", _FOLD, str(folder)]
    return subprocess.run(command, env=values, capture_output=True, check=True).stdout


def test_the_same_bytes_under_another_locale_zone_and_hash_seed(demo_profiles: Path) -> None:
    here = folded_with(demo_profiles, TZ="Europe/Berlin", LC_ALL="C.UTF-8", PYTHONHASHSEED="1")
    there = folded_with(demo_profiles, TZ="Pacific/Kiritimati", LC_ALL="tr_TR.UTF-8", PYTHONHASHSEED="4242")
    assert here == there
    assert here.count(b"format = 1") == len(HISTORIES)


def at(record: Record, started: datetime) -> Record:
    """The record begun at another time."""
    moved = tuple(entry.model_copy(update={"at": started}) for entry in record.entry)
    return record.model_copy(update={"started": started, "entry": moved})


def test_days_are_counted_by_the_calendar_across_a_change_of_the_clocks() -> None:
    """Fourteen days are fourteen dates, though one had 25 hours; fifteen are fifteen, though one had 23."""
    before = standing(last_session=datetime(2026, 10, 20, 22, 30, tzinfo=_BERLIN))
    late = at(session(), datetime(2026, 11, 3, 23, 30, tzinfo=_BERLIN))
    assert judge(late, before).decision.rule == "repetitions_up"
    before = standing(last_session=datetime(2026, 3, 20, 23, 30, tzinfo=_BERLIN))
    early = at(session(), datetime(2026, 4, 4, 0, 10, tzinfo=_BERLIN))
    assert (early.started - before.last_session).days == 14 if before.last_session else False
    assert judge(early, before).decision.rule == "long_gap"


def test_a_session_across_midnight_belongs_to_the_day_on_which_it_began() -> None:
    began = datetime(2026, 3, 10, 23, 50, tzinfo=_BERLIN)
    first = at(session(), began)
    past = tuple(entry.model_copy(update={"at": began + timedelta(minutes=30)}) for entry in first.entry)
    progress = judge(first.model_copy(update={"entry": past})).after
    assert progress.last_session == began
    next_day = at(session(goal=12), datetime(2026, 3, 11, 18, 0, tzinfo=_BERLIN))
    assert judge(next_day, progress).decision.rule == "repetitions_up"


def test_two_sessions_on_one_day_move_nothing_up() -> None:
    morning = at(session(), datetime(2026, 3, 10, 8, 0, tzinfo=_BERLIN))
    evening = at(session(goal=12), datetime(2026, 3, 10, 20, 0, tzinfo=_BERLIN))
    progress, judged = fold(prescription(), [evening, morning], book())
    assert [one.decision.rule for one in judged] == ["repetitions_up", "second_today"]
    assert (progress.repetitions, progress.load) == (12, STEPS[3])


@pytest.mark.parametrize(("hours", "found"), [(-1, True), (1, False)])
def test_a_clock_that_was_set_back_is_found_before_a_session_begins(
    demo_profiles: Path, hours: int, found: bool
) -> None:
    store = ClientStore.read(demo_profiles / "plover", shipped())
    last = store.records[-1].last_at
    newest = store.latest_date_after(last + timedelta(hours=hours))
    assert (newest == last) == found
    assert (newest is None) != found


def test_records_of_the_first_format_without_goal_or_target_fold_to_the_same_decisions(demo_profiles: Path) -> None:
    """What a record did not say at first is left out: the decisions on the way are those that were told."""
    folder = read_client_folder(demo_profiles / "heron")
    rule_book = book() if folder.profile.language == "en" else None
    assert rule_book is not None
    bare = [
        Record.model_validate(one.record.model_dump(exclude={"positions", "target_nm", "activities"}))
        for one in folder.stored_records
    ]
    told = [one.record.ended.decision for one in folder.stored_records if one.record.ended is not None]
    judged = fold(folder.prescription, bare, rule_book)[1]
    assert [one.decision for one in judged] == told
    assert load_content(content_folder(), "en").rules == rule_book.content.rules

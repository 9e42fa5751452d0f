"""Measured sets that hold the load, as files: whatever the order in which they come, one progress follows."""

import re
import shutil
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from coach.commands.clinic.courses import course_of, courses_of
from coach.commands.support.loading import plan_of_exercise
from coach.model import step_names
from coach.model.measured.measured_set import MeasuredSet
from coach.model.measured.tempo_kept import MeasuredFault
from coach.overview.visits.since_visit import since_lines, since_visit
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_of
from coach.screens.client.setup_context import setup_context
from coach.store.client_paths import MEASURED, PROGRESS
from coach.store.client_store import ClientStore
from coach.store.fingerprint import client_fingerprint
from coach.store.measured_sets.measured_files import keep_measured
from coach.store.programme.opening import as_at_home
from tests.clocks import START
from tests.demo.pristine import DEMO
from tests.plans import shipped
from tests.session.test_other_band import state_at

NEWEST, BEFORE = "2026-11-20T181000.toml", "2026-11-18T180900.toml"


@pytest.fixture
def heron(tmp_path: Path) -> Path:
    """A client whose last session is the first of two that a rise needs, with progress.toml up to date."""
    folder = Path(shutil.copytree(DEMO / "heron", tmp_path / "heron"))
    _store(folder).save(START)
    assert _store(folder).progress.ready_sessions == 1
    return folder


def _store(folder: Path) -> ClientStore:
    return ClientStore.read(folder, shipped())


def _measured(
    record: str = NEWEST, number: int = 1, *faults: MeasuredFault, holds: bool = True, minutes: int = 0
) -> MeasuredSet:
    kept = datetime(2026, 11, 21, 9).astimezone() + timedelta(minutes=minutes)
    return MeasuredSet(
        format=1, record=record, set=number, kept=kept, exercise="external_rotation", position="90", table="t.csv",
        sha256="0" * 64, columns=("c",) * 7, units=("s", "g", "deg/s"), rate_hz=50.0, count=12, faults=faults,
        holds=holds,
    )  # fmt: skip


def test_a_file_that_comes_makes_the_progress_stale_and_it_is_no_edit_by_hand(heron: Path) -> None:
    before = client_fingerprint(str(heron)).value
    keep_measured(heron, [_measured(NEWEST, 1, "off_tempo")])
    store = _store(heron)
    assert client_fingerprint(str(heron)).value != before
    assert (store.is_current, store.agreement) == (False, "behind")
    assert store.progress.ready_sessions == 0
    assert store.save(START) is None
    assert (_store(heron).is_current, _store(heron).agreement) == (True, "agrees")


def test_without_the_fingerprint_it_is_no_edit_by_hand_either(heron: Path) -> None:
    (heron / ".progress.fingerprint").unlink()
    keep_measured(heron, [_measured(NEWEST, 1, "off_tempo")])
    assert _store(heron).agreement == "behind"
    progress = heron / PROGRESS
    progress.write_text(progress.read_text("utf-8").replace("clean_sets = 9", "clean_sets = 8"), encoding="utf-8")
    assert _store(heron).agreement == "differs"


def test_where_it_was_not_chosen_nothing_changes(heron: Path) -> None:
    before = _store(heron).folded_progress
    keep_measured(heron, [_measured(NEWEST, 1, "off_tempo", holds=False), _measured(NEWEST, 2)])
    assert _store(heron).folded_progress == before


def test_any_order_of_coming_gives_the_same_progress(heron: Path, tmp_path: Path) -> None:
    """Also with a second measurement of a set, of which the one kept last counts."""
    sets = [
        _measured(BEFORE, 2, "range_lost"),
        _measured(NEWEST, 1, "off_tempo"),
        _measured(NEWEST, 1, minutes=5),
    ]
    found = set()
    for number, (first, *others) in enumerate((sets, sets[::-1])):
        folder = Path(shutil.copytree(heron, tmp_path / f"heron{number}"))
        keep_measured(folder, [first])
        _store(folder).save(START)
        keep_measured(folder, others)
        _store(folder).save(START)
        found.add((folder / PROGRESS).read_bytes())
    assert len(found) == 1
    assert _store(folder).progress.ready_sessions == 1  # the newest measurement found nothing against it
    told = [one.veto is not None for one in _store(folder).sessions[-2:]]
    assert told == [True, False]


@pytest.mark.parametrize(("chosen", "ready"), [(False, 1), (True, 0)])
def test_a_file_that_cannot_be_read_is_taken_for_a_fault_where_measurements_hold(
    heron: Path, chosen: bool, ready: int
) -> None:
    """What it held is unknown; a flipped bit lifts no hold."""
    (path,) = keep_measured(heron, [_measured(NEWEST, 1, "off_tempo")])
    path.write_text(path.read_text("utf-8").replace("off_tempo", "of_tempo"), encoding="utf-8")
    (heron / MEASURED / "folder.toml").mkdir()
    prescription = heron / "prescription.toml"
    text = prescription.read_text("utf-8").replace(
        "format = 1\n", f"format = 1\nmeasured_holds = {str(chosen).lower()}\n"
    )
    prescription.write_text(text, encoding="utf-8")
    store = _store(heron)
    assert len(store.folder.measured.faults) == 2
    assert store.folded_progress.ready_sessions == ready
    if chosen:
        assert "can no longer be read" in store.folded_progress.decision.reason  # type: ignore[union-attr]


@pytest.mark.parametrize("record", [BEFORE, NEWEST])
def test_a_set_that_is_measured_late_holds_where_an_old_record_is_damaged(heron: Path, record: str) -> None:
    """The progress goes on from progress.toml, which does not hold what was measured since."""
    path = heron / "records" / NEWEST
    rise = path.read_text("utf-8").replace('move = "hold"', 'move = "progress"', 1)
    before, _, decided = rise.partition("[entry.decision.load]")
    risen = decided.replace("4.8591", "9.8591").replace("mean_nm = 4", "mean_nm = 5", 1)
    path.write_text(re.sub("# whole .*", "# whole", f"{before}[entry.decision.load]{risen}"), encoding="utf-8")
    _store(heron).save(START)
    keep_measured(heron, [_measured(record, 1, "off_tempo")])
    whole = _store(heron).folded_progress
    old = min((heron / "records").iterdir())
    content = old.read_bytes()
    old.write_bytes(content.replace(b"started", b"svarted"))
    store = _store(heron)
    assert store.folder.damaged
    for _ in range(2):  # once more after it was saved
        held = _store(heron).progress
        assert (held.load, held.repetitions, held.decision) == (whole.load, whole.repetitions, whole.decision)
        assert (held.ready_sessions, held.pace_sets, held.clean_sets) == (0, 0, 0)
        assert store.agreement in ("behind", "agrees")
        assert _store(heron).save(START) is None
    old.write_bytes(content)
    assert _store(heron).progress == whole


def test_a_file_that_was_cut_off_is_not_taken_for_one_without_faults(heron: Path) -> None:
    """Nobody signed it, so nothing says that it was."""
    (path,) = keep_measured(heron, [_measured(NEWEST, 1, "off_tempo")])
    content = path.read_text("utf-8")
    for damaged in (content.partition("# whole")[0], content.replace("off_tempo", "of_tempo")):
        path.write_text(damaged, encoding="utf-8")
        (fault,) = _store(heron).folder.measured.faults
        assert "damaged" in fault.what
        assert "signed" not in fault.what


def test_who_measures_is_told_how_before_the_repetition_without_the_band(heron: Path) -> None:
    def page() -> TextPage:
        store = _store(heron)
        state = state_at(as_at_home(store, plan_of_exercise(store)), step_names.REACH)
        return page_of(state, setup_context(state.plan, state.record))

    assert "sensor" not in " ".join((page().lead, *page().lines, *page().listed))
    keep_measured(heron, [_measured()])
    assert "If you measure this set: the sensor is strapped firmly to your forearm" in page().lead


def test_the_days_that_were_measured_are_the_same_in_a_visit_and_in_the_results(heron: Path) -> None:
    """Two sets of one day, one of another day, and a file of a set that was not done."""
    not_done = _measured("2026-11-16T180800.toml", 6)
    keep_measured(heron, [_measured(), _measured(NEWEST, 2), _measured(BEFORE), not_done])
    store = _store(heron)
    courses = courses_of(store)
    assert course_of(store, courses).tempo.days == 2
    lines = since_lines(since_visit(courses, (), START.date(), START.date()), shipped())
    assert "A sensor measured sets on 2 of these 60 days; the rest is what was recorded." in lines

"""A session or an instruction under a wrong clock: it is said, and the therapist puts the date right."""

import errno
import shutil
from datetime import datetime, timedelta, tzinfo
from pathlib import Path

import pytest

from coach.cli import main
from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.answers_file import Answers
from coach.progression.needs import needs_of
from coach.screens.start import SessionOutcome
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.live_session import Opening, open_session, start_session
from coach.store.therapist import steering
from tests.clocks import START, FakeClock
from tests.plans import shipped
from tests.screens.plain.output_lines import run_with_answers

AHEAD = timedelta(days=3600)
SIGNED = ("--initials", "KB", "--reason", "the clock was wrong", "--yes")
LIMITS = {limit.name: limit.value for limit in shipped().limits}


@pytest.fixture(autouse=True)
def _the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.store.clock.now", FakeClock(START + timedelta(days=4)))


def _sessions(folder: Path, *days: timedelta) -> Path:
    for day in days:
        assert run_with_answers(folder, Answers(), lambda _: None, START + day)
    return folder


def test_a_session_of_2036_is_said_and_put_right_and_the_order_follows(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    day = timedelta(days=1)
    right = _sessions(Path(shutil.copytree(demo_profiles / "tern", tmp_path / "right")), 2 * day)
    client = _sessions(demo_profiles / "tern", AHEAD)
    wrong = max(path.name for path in (client / "records").iterdir())
    assert wrong.startswith("2036")

    assert main(["check", str(client)]) == 1
    assert f"correct_date record={wrong}" in " ".join(capsys.readouterr().out.split())
    needs = needs_of(summary_of(client, shipped()), load_needs(content_folder()), LIMITS, START.date())
    assert "wrong_date" in [need.name for need in needs]
    at = (START + 2 * day).replace(tzinfo=None).isoformat(sep=" ")
    assert main(["steer", str(client), "correct_date", f"record={wrong}", f"right_at={at}", *SIGNED]) == 0
    capsys.readouterr()
    assert main(["check", str(client)]) == 0
    store = ClientStore.read(client, shipped())
    assert store.latest_date_after(START + 5 * day) is None
    assert [record.started for record in store.records] == [START + 2 * day]
    assert store.progress.last_session == START + 2 * day
    apart: dict[str, object] = {"tell": {}, "name": None, "trained_at": None}  # the last two only a programme has
    there, expected = store.folded_progress, ClientStore.read(right, shipped()).folded_progress
    assert there.model_copy(update=apart) == expected.model_copy(update=apart)
    _sessions(client, 5 * day)
    assert ClientStore.read(client, shipped()).progress.sessions == 2
    assert main(["steer", str(client), "freeze_load", *SIGNED]) == 0  # its order follows from what was known


def test_an_instruction_of_2036_is_put_right(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    client = demo_profiles / "tern"
    wrong = "2036-11-02T10:00:00+01:00"
    with (client / "prescription.toml").open("a", encoding="utf-8") as file:
        file.write(f'\n[[sign_offs]]\nat = {wrong}\ninitials = "KB"\nwhat = "freeze_load"\nreason = "sore"\n')
    assert main(["check", str(client)]) == 1
    assert f"wrong_at={wrong}" in " ".join(capsys.readouterr().out.split())
    right = "2026-11-25T10:00:00+01:00"
    assert main(["steer", str(client), "correct_date", f"wrong_at={wrong}", f"right_at={right}", *SIGNED]) == 0
    capsys.readouterr()
    assert main(["check", str(client)]) == 0
    assert ClientStore.read(client, shipped()).latest_date_after(START + timedelta(days=4)) is None
    assert main(["steer", str(client), "lift_freeze", *SIGNED]) == 0
    assert not ClientStore.read(client, shipped()).progress.frozen


@pytest.mark.parametrize(
    ("values", "says"),
    [
        (("record=2036-01-01T100000.toml", "right_at=2026-11-25 10:00"), "there is no record"),
        (("wrong_at=2036-01-01 10:00", "right_at=2026-11-25 10:00"), "no instruction was signed at"),
        (("right_at=2026-11-25 10:00",), "needs record or wrong_at"),
    ],
)
def test_what_is_not_there_is_not_put_right(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], values: tuple[str, ...], says: str
) -> None:
    client = demo_profiles / "tern"
    before = (client / "prescription.toml").read_bytes()
    assert main(["steer", str(client), "correct_date", *values, *SIGNED]) == 2
    assert says in capsys.readouterr().err
    assert (client / "prescription.toml").read_bytes() == before


def test_a_time_for_which_the_system_has_no_zone_is_refused(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows has none before 1970, and raises OSError."""

    class Early(datetime):
        def astimezone(self, _: tzinfo | None = None) -> "Early":
            raise OSError(errno.EINVAL, "Invalid argument")

    monkeypatch.setattr(steering, "datetime", Early)
    given = ["wrong_at=1926-11-29 10:00", "right_at=2026-11-29 10:00"]
    assert main(["steer", str(demo_profiles / "heron"), "correct_date", *given, *SIGNED]) == 2
    assert "a date and time with its offset" in capsys.readouterr().err


_DATED = [
    ("profile.toml", "on = 2026-11-23", "on = 2027-11-23", "on"),
    ("profile.toml", "measured_on = 2026-11-23", "measured_on = 2027-11-23", "measured_on"),
    ("prescription.toml", "on = 2026-11-23", "on = 2027-11-23", "on"),
    ("prescription.toml", "on = 2026-11-23", "on = 2026-11-23\nrepaired_on = 2027-11-23", "repaired_on"),
    ("profile.toml", "", '\n[[condition]]\nkind = "cuff_repair"\non = 2027-11-23\nby = "letter"\n', "on"),
    ("profile.toml", "", '\n[irritability]\nlevel = "low"\non = 2027-11-23\nby = "KB"\n', "on"),
]


@pytest.mark.parametrize(("name", "old", "new", "key"), _DATED)
def test_what_has_happened_and_is_dated_after_today_is_told_and_no_new_client_begins_with_it(
    demo_profiles: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    name: str,
    old: str,
    new: str,
    key: str,
) -> None:
    client = demo_profiles / "tern"
    file = client / name
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace(old, new, 1) if old else text + new, encoding="utf-8")
    line = next(number for number, one in enumerate(file.read_text().split("\n"), 1) if "2027-11-23" in one)
    told = f"{key} is 2027-11-23, a day that is still to come"
    assert main(["check", str(client)]) == 1
    assert f"{name}:{line}:" in (said := " ".join(capsys.readouterr().out.split()))
    assert told in said
    assert main(["intake", str(tmp_path / "wren"), "--from", str(client)]) == 1
    assert told in " ".join(capsys.readouterr().err.split())
    assert not (tmp_path / "wren").exists()


@pytest.mark.parametrize(("said", "begins"), [("y", True), ("Y", True), ("n", False), ("", False)])
def test_whoever_confirms_the_date_trains_and_nobody_else(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], said: str, begins: bool
) -> None:
    """A client with a programme, whose newest session was under a clock 40 days ahead; the clock is right by now."""
    client, asked, begun = demo_profiles / "curlew", list[str](), list[Opening]()
    ahead = FakeClock(START + timedelta(days=40))
    with ClientStore.locked(client, shipped()) as store:
        start_session(open_session(store, ahead()), ahead)

    def answered(_source: object, prompt: str) -> str:
        asked.append(prompt)
        return said

    def run(_content: object, opening: Opening, _mode: object) -> SessionOutcome:
        begun.append(opening)
        return SessionOutcome()

    monkeypatch.setattr("coach.screens.terminal.is_terminal", lambda: True)
    monkeypatch.setattr("coach.screens.start._keyboard", lambda _: None)
    monkeypatch.setattr("coach.screens.plain.line_input.ask_line", answered)
    monkeypatch.setattr("coach.screens.start.run_session", run)
    main(["session", str(client), "--plain"])
    printed = capsys.readouterr()
    assert asked == ["> "]
    day = f"{ahead().at:%Y-%m-%d}"
    assert day in printed.out
    assert [one.store.date_confirmed for one in begun] == [True] * begins
    assert (day in printed.err) == (not begins)

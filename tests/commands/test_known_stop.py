"""In review for a warning sign, its advice is said first, whatever else keeps a session from starting."""

import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.home import known_stop
from coach.commands.home.known_stop import known_advice
from coach.model.answers_file import Answers
from coach.screens.plain.plain_session import PlainSession
from coach.session.rehearsal import rehearse
from coach.store import lock as locking
from coach.store.client_store import ClientStore
from coach.store.clock import now
from coach.store.live_session import open_session
from coach.store.records import record_file
from tests.clocks import FakeClock
from tests.plans import plan_of, shipped
from tests.screens.plain.output_lines import Typist

CALL = "Call your local emergency number now."


@pytest.fixture
def in_review(demo_profiles: Path) -> Path:
    """A client who chose chest pain, and confirmed it."""
    client, clock = demo_profiles / "tern", FakeClock(now().at - timedelta(hours=1))
    with ClientStore.locked(client, shipped()) as store:
        typist = Typist(clock, ["p", "4", "y", ""])
        PlainSession(shipped(), open_session(store, clock()), clock, typist, lambda _: None).run()
    assert ClientStore.read(client, shipped()).progress.status == "review"
    return client


def _read_only(_: Path) -> None:
    raise PermissionError(13, "Permission denied")


def empty_record(client: Path) -> None:
    """A record that a full disk or a sync program left empty."""
    (client / "records" / f"{now().at:%Y-%m-%dT%H%M%S}.toml").write_text("")


def broken(name: str) -> Callable[[Path], None]:
    """A file of the client that is no TOML."""

    def spoil(client: Path) -> None:
        next(client.glob(name)).write_text("[[[", encoding="utf-8")

    return spoil


def broken_instruction(client: Path) -> None:
    """An instruction that is no TOML."""
    (client / "instructions").mkdir(exist_ok=True)
    (client / "instructions" / "2026-01-01T000000.toml").write_text("[[[", encoding="utf-8")


def conflict_copy(client: Path) -> None:
    """A sync program left another version of the profile."""
    text = (client / "profile.toml").read_text(encoding="utf-8")
    (client / "profile (1).toml").write_text(text.replace('name = "', 'name = "X'), encoding="utf-8")


def recorded_in_2036(client: Path) -> None:
    """A session that was recorded while the clock was wrong."""
    record, _ = rehearse(plan_of("tern"), Answers(), now().at + timedelta(days=3650))
    name = f"{record.started:%Y-%m-%dT%H%M%S}.toml"
    (client / "records" / name).write_text(record_file.as_text(record), encoding="utf-8")


OBSTACLES = {
    "an empty record": empty_record,
    "a broken profile": broken("profile.toml"),
    "a broken programme": broken("programme/*.toml"),
    "a broken instruction": broken_instruction,
    "a copy of the profile": conflict_copy,
    "a clock of 2036": recorded_in_2036,
}


def said_by(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What a command writes on standard error."""
    assert main(list(words)) in (1, 2, 3)
    return capsys.readouterr().err


@pytest.mark.usefixtures("typed")
@pytest.mark.parametrize("progress", [True, False], ids=["with progress.toml", "without it"])
@pytest.mark.parametrize("obstacle", OBSTACLES.values(), ids=OBSTACLES)
def test_the_advice_comes_before_what_is_wrong_with_a_file(
    in_review: Path,
    obstacle: Callable[[Path], None],
    progress: bool,
    capsys: pytest.CaptureFixture[str],
) -> None:
    obstacle(in_review)
    if not progress:
        (in_review / "progress.toml").unlink()
    said = said_by(capsys, "session", str(in_review), "--plain")
    assert CALL in said
    first, *rest = said.splitlines()
    assert CALL in first
    assert "There is no session now." in first
    assert "".join(rest).strip()


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody could type."""
    monkeypatch.setattr("coach.screens.start._keyboard", lambda _: None)


@pytest.mark.usefixtures("typed")
def test_it_comes_before_a_folder_that_cannot_be_written(
    in_review: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(locking, "_acquired", _read_only)
    said = said_by(capsys, "session", str(in_review), "--plain")
    assert said.index(CALL) < said.index("nothing can be written here")


@pytest.mark.usefixtures("typed")
def test_it_comes_before_another_session_that_is_open(in_review: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with locking.lock(in_review):
        said = said_by(capsys, "session", str(in_review), "--plain")
    assert said.index(CALL) < said.index("another session has")


def test_it_comes_before_a_terminal_in_which_nothing_can_be_typed(
    in_review: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", None)
    said = said_by(capsys, "session", str(in_review), "--plain")
    assert said.index(CALL) < said.index("nothing can be typed here")


@pytest.mark.usefixtures("typed")
def test_so_it_does_with_coach_alone(
    in_review: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    home = tmp_path / "home"
    shutil.copytree(in_review, home / "tern")
    monkeypatch.setattr("coach.store.home.places.named_folder", lambda: None)
    monkeypatch.setattr("coach.store.home.places.clients_at_home", lambda: {"tern": home / "tern"})
    broken("profile.toml")(home / "tern")
    said = capsys.readouterr().err if main([]) else ""
    assert CALL in said.splitlines()[0]


def test_it_is_in_the_language_of_a_profile_that_cannot_be_read(in_review: Path) -> None:
    profile = in_review / "profile.toml"
    text = profile.read_text(encoding="utf-8")
    assert 'language = "' not in text or 'language = "en"' in text
    profile.write_text('language = "de"\n[[[', encoding="utf-8")
    assert "Notruf" in known_advice(in_review)


def test_a_review_that_was_ended_says_nothing(in_review: Path) -> None:
    signed = f'format = 2\nat = {now().at.isoformat()}\ninitials = "KB"\nwhat = "end_review"\n'
    (in_review / "instructions").mkdir(exist_ok=True)
    (in_review / "instructions" / "0001.toml").write_text(signed, encoding="utf-8")
    broken("profile.toml")(in_review)
    assert known_advice(in_review) == ""


@pytest.mark.usefixtures("typed")
def test_a_client_who_may_train_is_told_of_the_obstacle_alone(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tern = demo_profiles / "tern"
    broken("profile.toml")(tern)
    assert "emergency" not in said_by(capsys, "session", str(tern), "--plain")


@pytest.mark.parametrize("text", ["", "[[[", "entry = 3", "[[entry]]\nat = 1\nvalue = 3", "\x00", "entry = [[1]]"])
def test_no_file_makes_it_fail(in_review: Path, text: str) -> None:
    for path in sorted(in_review.rglob("*.toml")):
        path.write_text(text, encoding="utf-8")
    assert known_advice(in_review) == ""
    assert known_advice(in_review / "nowhere") == ""


def test_a_start_that_nothing_keeps_away_reads_nothing_more(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []
    monkeypatch.setattr(known_stop, "advice_of", asked.append)
    monkeypatch.setattr(known_stop, "known_advice", asked.append)
    monkeypatch.setattr("coach.screens.start.run_session", lambda *_: _Outcome())
    monkeypatch.setattr("coach.screens.start._keyboard", lambda _: None)
    assert main(["session", str(demo_profiles / "tern"), "--plain"]) == 0
    assert asked == []


class _Outcome:
    farewell, cut_off, unsaved, code, plan = "", False, False, 0, ""

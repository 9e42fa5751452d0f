"""A session that is not saved does not end with the exit code of one that is."""

import errno
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.session import report_ending
from coach.commands.support.output import CUT_OFF, EXIT_CODES, FAULTS
from coach.screens.plain.run_plain import PlainEnding, run_plain
from coach.screens.start import SessionOutcome
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from coach.store.records import record_file
from tests.clocks import FakeClock
from tests.journeys.walk import session_app
from tests.plans import shipped
from tests.screens.plain.output_lines import Typist


def full(*_: object) -> None:
    """A disk on which nothing more has room."""
    raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("lines", [("", "", "q", "y", ""), ("p", "4")], ids=["ended", "cut off"])
def test_in_lines(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, lines: tuple[str, ...]) -> None:
    """It once was 0 after "This is not saved"."""
    client, clock = ClientStore.read(demo_profiles / "tern", shipped()), FakeClock()
    typist = Typist(clock, lines)
    opening, line = open_session(client, clock()), typist.line

    def with_full_disk(within_s: float | None) -> str | None:
        monkeypatch.setattr(record_file, "write_flushed", full)
        return line(within_s)

    monkeypatch.setattr(typist, "line", with_full_disk)
    ending = run_plain(shipped(), opening, clock, typist)
    assert ending.unsaved
    assert report_ending(SessionOutcome(cut_off=ending.plan is None, unsaved=ending.unsaved)) == FAULTS


def test_what_is_saved_keeps_its_code(demo_profiles: Path) -> None:
    client, clock = ClientStore.read(demo_profiles / "tern", shipped()), FakeClock()
    ending = run_plain(shipped(), open_session(client, clock()), clock, Typist(clock, ["", "", "0"]))
    assert ending == PlainEnding(None)
    assert report_ending(SessionOutcome(cut_off=True)) == CUT_OFF


async def test_on_screens(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "enter")
        assert not app.unsaved
        monkeypatch.setattr(record_file, "write_flushed", full)
        await pilot.press("q", "y")
        await pilot.pause()
        assert app.unsaved


def test_the_command_and_its_help_say_so(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    outcome = SessionOutcome("Not all of this session is saved.", unsaved=True)
    monkeypatch.setattr("coach.screens.start.run_session", lambda *_: outcome)
    monkeypatch.setattr("coach.screens.start._keyboard", lambda _: None)
    assert main(["session", str(demo_profiles / "tern"), "--plain"]) == FAULTS
    assert "was not saved" in EXIT_CODES
    capsys.readouterr()

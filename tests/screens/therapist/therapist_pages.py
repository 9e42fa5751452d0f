"""The therapist's app on a made-up caseload of a fixed day."""

from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot
from textual.widgets import Input

from coach.commands.caseload import lines_of
from coach.commands.support.report_factories import looks_at
from coach.screens.therapist.caseload_screen import CaseloadScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.session.state import Present
from tests.plans import shipped
from tests.screens.pictures import differing
from tests.screens.seen import as_svg, as_text, runs

SIZES = ((80, 24), (120, 40))
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=timezone(timedelta(hours=1)))


def stop_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every page of the therapist is of this day."""
    monkeypatch.setattr("coach.store.clock.now", lambda: Present(0.0, NOW))


def caseload_app(folder: Path) -> TherapistApp:
    """The caseload of a folder as the command starts it."""
    return TherapistApp(CaseloadScreen(looks_at(folder, shipped()), lines_of(folder)))


Pages = dict[str, tuple[str, str]]


def keep(pages: Pages, name: str, pilot: Pilot[None]) -> None:
    """The page that is seen, as text and as a picture."""
    rows = runs(pilot.app)
    pages[name] = as_text(rows), as_svg(rows)


async def assert_kept(
    drawn: Callable[[], Awaitable[Pages]], snapshot: SnapshotAssertion, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every page is as it was kept, in colour and without; its text is the same: colour is never the only sign."""
    in_colour = await drawn()
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("TERM", "linux")
    without = await drawn()
    assert {name: text for name, (text, _) in without.items()} == {name: one[0] for name, one in in_colour.items()}
    assert differing(in_colour, without, snapshot) == []


async def press(pilot: Pilot[None], *keys: str) -> str:
    """Press keys, let everything that they began come to its end; the text of the screen."""
    for key in keys:
        await pilot.press(key)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
    before, seen = "", as_text(runs(pilot.app))
    while seen != before:
        for entry in pilot.app.screen.query(Input):
            entry.cursor_blink = False  # or a picture depends on the moment
        await pilot.pause()
        before, seen = seen, as_text(runs(pilot.app))
    return seen

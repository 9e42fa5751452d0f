"""The therapist's app on a made-up caseload of a fixed day."""

from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from textual.pilot import Pilot

from coach.commands.caseload import lines_of
from coach.commands.looks import looks_at
from coach.screens.therapist.caseload_screen import CaseloadScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.session.runner import Present
from tests.plans import shipped
from tests.screens.seen import as_text, runs

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=timezone(timedelta(hours=1)))


def stop_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every page of the therapist is of this day."""
    monkeypatch.setattr("coach.files.clock.now", lambda: Present(0.0, NOW))


def caseload_app(folder: Path) -> TherapistApp:
    """The caseload of a folder as the command starts it."""
    return TherapistApp(CaseloadScreen(looks_at(folder, shipped()), lines_of(folder)))


async def press(pilot: Pilot[None], *keys: str) -> str:
    """Press keys, let everything that they began come to its end; the text of the screen."""
    for key in keys:
        await pilot.press(key)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
    return as_text(runs(pilot.app))

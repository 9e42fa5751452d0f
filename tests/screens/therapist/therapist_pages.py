"""The therapist's app on a made-up caseload of a fixed day."""

import re
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot
from textual.widgets import Input, Static

from coach.commands.support.caseload_loading import caseload_lines
from coach.commands.support.report_factories import report_sources
from coach.screens.base_app import BaseApp
from coach.screens.therapist.caseload_screen import CaseloadScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.screens.widgets.line_list import LineList
from coach.screens.widgets.page_head import PageHead
from coach.session.state import Instant
from tests.plans import shipped
from tests.screens.capture import as_text, runs
from tests.screens.pictures import Size
from tests.screens.recorder import Recorder

SIZES: tuple[Size, ...] = ((80, 24), (120, 40))
# The series with drawings, which have other signs without colour. The words of every page are compared in any case.
_DRAWN = ("caseload", "charts", "preview")
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=timezone(timedelta(hours=1)))


def stop_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every page of the therapist is of this day."""
    monkeypatch.setattr("coach.store.clock.now", lambda: Instant(0.0, NOW))


def caseload_app(folder: Path, came_in: str = "") -> TherapistApp:
    """The caseload of a folder as the command starts it."""
    return TherapistApp(CaseloadScreen(report_sources(folder, shipped()), caseload_lines(folder), came_in=came_in))


def assert_lists_tell_what_they_hide(app: BaseApp) -> None:
    """All lines of a list are in its window, or it says how many more there are; what it says is on the screen."""
    for table in app.screen.query(LineList):
        if table.region and len(table._lines) > table.size.height:
            shown = as_text(runs(app)).split("\n")[table.region.y : table.region.bottom]
            kept = [row for row in shown if "more above" not in row and "more below" not in row]
            told = sum(int(number) for number in re.findall(r"(\d+) more (?:above|below)", "\n".join(shown)))
            assert len(kept) + told == len(table._lines)


def assert_says_what_to_do(app: BaseApp) -> None:
    """A page has a head: what it is for, and the key to press now. A small preview only draws its first key."""
    heads = [head for head in app.screen.query(PageHead) if head.display]
    if not heads:
        assert isinstance(app.screen, QuestionScreen | PreviewScreen)
        return
    (head,) = heads
    title, purpose, now = (str(line.visual) for line in head.query(Static).results(Static))
    assert title
    assert purpose
    assert now.strip() or isinstance(app.screen, CaseloadScreen)


# Each way down, and the way back up.
_WAYS = (("space", "backspace"), ("ctrl+down", "ctrl+up"), ("pgdn", "pgup"), ("pagedown", "pageup"), ("down", "up"))


def assert_tells_the_way_back(app: BaseApp) -> None:
    """Whoever is told a key that goes down is told the one that goes up."""
    told = {key for bar in app.screen.query("#keys").results(Static) for key in str(bar.visual).split()}
    assert [down for down, up in _WAYS if down in told and up not in told] == []


class PageRecorder(Recorder):
    """Records the pages of a therapist's app."""

    async def see(self, name: str, pilot: Pilot[None], *keys: str) -> None:
        """Press keys, and record the page that they lead to."""
        await press(pilot, *keys)
        assert isinstance(pilot.app, BaseApp)
        assert_lists_tell_what_they_hide(pilot.app)
        assert_says_what_to_do(pilot.app)
        assert_tells_the_way_back(pilot.app)
        await self.record(name, pilot.app, pilot)


async def assert_pages_as_kept(
    series: str,
    visit: Callable[[PageRecorder], Awaitable[None]],
    size: Size,
    snapshot: SnapshotAssertion,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Compare the pages that `visit` records with those kept; drawn ones at the first size also with NO_COLOR set."""
    recorder, without_colour = PageRecorder(series, size), None
    await visit(recorder)
    if size == SIZES[0] and series in _DRAWN:
        monkeypatch.setenv("NO_COLOR", "1")
        monkeypatch.setenv("TERM", "linux")
        without_colour = PageRecorder(series, size)
        await visit(without_colour)
    recorder.assert_as_kept(snapshot, without_colour)


def facts_text(app: BaseApp) -> str:
    """All that is told of the client in view."""
    return "\n".join(str(text.visual) for text in app.screen.query("ClientFacts Static").results(Static))


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

"""The terminal's cursor stands on what a page asks: screen readers and braille displays follow it."""

from pathlib import Path

import pytest

from coach.screens.base_app import BaseApp
from coach.screens.client.page_types import TextPage
from tests.clocks import FakeClock
from tests.journeys.walk import let_pass, session_app, walk
from tests.screens.capture import as_text, runs
from tests.screens.therapist.therapist_pages import caseload_app, press, stop_the_clock


def _line_at_cursor(app: BaseApp) -> str:
    """What stands to the right of the cursor."""
    at = app.cursor_position
    return as_text(runs(app)).split("\n")[at.y][at.x :].strip()


async def test_it_stands_on_the_question_and_stays_while_the_arm_moves(demo_profiles: Path) -> None:
    clock = FakeClock()
    app = session_app(demo_profiles / "tern", clock)

    async with app.run_test(size=(120, 40)) as pilot:
        for keys in ((), ("enter",), ("enter",), ("0",), ("question_mark",)):
            await press(pilot, *keys)
            page = app._page()[0]
            assert isinstance(page, TextPage)
            assert page.lead.startswith(_line_at_cursor(app)) or app.query("#blocks"), page.lead
        await press(pilot, "escape")
        await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_1.work")
        await let_pass(pilot, app, clock, 21.0)
        await pilot.pause()
        word = app.query_one("#word").region.offset
        assert app.cursor_position == word
        await let_pass(pilot, app, clock, 0.5)
        assert app.cursor_position == word


async def test_it_stands_on_the_chosen_line_of_a_list(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)
    app = caseload_app(demo_profiles)
    async with app.run_test(size=(80, 24)) as pilot:
        for keys in ((), ("down",), ("down",), ("home",)):
            await press(pilot, *keys)
            assert _line_at_cursor(app).startswith(">")

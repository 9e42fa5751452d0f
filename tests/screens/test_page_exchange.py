"""A key that arrives while one page is exchanged for another: it scrolls nothing, and nothing ends."""

import asyncio
from pathlib import Path

import pytest
from textual.events import Key

from coach.commands.support.report_factories import PREVIEW_REPORTS
from coach.screens.client.client_frame import ClientFrame
from coach.screens.client.session_app import SessionApp
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.therapist_app import TherapistApp
from tests.clocks import START, FakeClock
from tests.journeys.walk import live, session_app
from tests.plans import plan_of

KEYS = ("pagedown", "down", "up", "x")


@pytest.mark.parametrize("key", KEYS)
async def test_with_no_page_on_the_screen(demo_profiles: Path, key: str) -> None:
    """The old page has gone and the new one is not there yet, as the frames of the app exchange them."""
    app: SessionApp = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        async with app._drawing:
            page, _ = app._page()
            await app.query("#body").remove()
            pressed = asyncio.create_task(app.on_key(Key(key, None)))
            await asyncio.sleep(0)
            await app.mount(app._body(page), after="#title")
        await pressed
        assert app.is_running
        assert live(app).state.step.name == "today"


@pytest.mark.parametrize("key", KEYS)
async def test_with_a_page_whose_parts_are_not_there_yet(demo_profiles: Path, key: str) -> None:
    """Nothing runs between the new page and the key, not even what puts the column into the page."""
    app: SessionApp = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        page, _ = app._page()
        await app.query("#body").remove()
        mounting = app.mount(app._body(page), after="#title")
        assert not app.query("#column")
        await app.on_key(Key(key, None))
        await mounting
        assert app.query("#column")
        assert app.is_running


@pytest.mark.parametrize("key", ["pagedown", "up"])
async def test_the_preview_and_the_proof_have_the_same_pages(key: str) -> None:
    app = TherapistApp(PreviewScreen((plan_of("tern"),), START, PREVIEW_REPORTS))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await app.screen.query("#body").remove()
        await app.screen.on_key(Key(key, None))  # type: ignore[attr-defined]
        assert app.is_running
    frame = ClientFrame()
    frame.scroll_by_key(key)


async def test_a_page_that_is_exchanged_while_the_app_ends(demo_profiles: Path) -> None:
    """A window that changes its size while Ctrl-C ends the session: nothing is put on a screen that goes."""
    app: SessionApp = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = set(app.screen.query("*"))
        app.exit()
        app._drawn = None  # as after a change of the size
        await app._draw_page()
        await app._draw()
        assert set(app.screen.query("*")) <= before


async def test_a_page_of_the_preview_that_is_exchanged_while_the_app_ends() -> None:
    app = TherapistApp(PreviewScreen((plan_of("tern"),), START, PREVIEW_REPORTS))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        shown = app.screen
        before = set(shown.query("*"))
        app.exit()
        await shown._draw()  # type: ignore[attr-defined]
        assert set(shown.query("*")) <= before

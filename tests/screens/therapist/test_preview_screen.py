"""The preview on screen: the client's own pages, other answers by the client's own keys, and the charts."""

from pathlib import Path

import pytest

from coach.commands.support.report_factories import PREVIEW_REPORTS
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at, setup_context
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.therapist_app import TherapistApp
from tests.plans import next_plan
from tests.screens.therapist.therapist_pages import NOW, caseload_app, press, stop_the_clock


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


def _app(folder: Path) -> TherapistApp:
    return TherapistApp(PreviewScreen(next_plan(folder), NOW, PREVIEW_REPORTS))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_every_stop_shows_the_page_of_the_session_itself(demo_profiles: Path, size: tuple[int, int]) -> None:
    app = _app(demo_profiles / "plover")
    async with app.run_test(size=size) as pilot:
        text = await press(pilot)
        screen = app.screen
        assert isinstance(screen, PreviewScreen)
        for stop in screen._entries[:12]:
            page = page_at(stop.state, setup_context(screen._plan, stop.state.record), stop.at_s)
            assert page.title in text
            if isinstance(page, TextPage):
                assert page.lead.split()[0] in text
            text = await press(pilot, "right")


async def test_the_clients_own_key_says_what_if_and_a_takes_it_back(demo_profiles: Path) -> None:
    app = _app(demo_profiles / "plover")
    async with app.run_test(size=(80, 24)) as pilot:
        text = await press(pilot, "right", "right", "2")
        assert "what if: 1 changed" in text
        assert "How much pain is in your shoulder now?" in text
        text = await press(pilot, "c")
        assert "pain_above_usual" in text
        assert "the next session" in text
        assert "clean; client's keys: what if" in await press(pilot, "escape", "a")
        await press(pilot, "2", "end")
        assert "Preview" in await press(pilot)


async def test_the_timeline_leads_to_the_chosen_page(demo_profiles: Path) -> None:
    app = _app(demo_profiles / "plover")
    async with app.run_test(size=(80, 24)) as pilot:
        text = await press(pilot, "t")
        assert "0:40  Check-in: How much pain" in text
        text = await press(pilot, "down", "down", "enter")
        assert "How much pain is in your shoulder now?" in text
        assert "Preview 3 of" in text


async def test_keys_that_mean_nothing_change_nothing(demo_profiles: Path) -> None:
    app = _app(demo_profiles / "plover")
    async with app.run_test(size=(80, 24)) as pilot:
        first = await press(pilot)
        assert await press(pilot, "z", "left", "plus", "minus", "9") == first


async def test_a_key_of_the_clients_that_leads_nowhere_says_so(demo_profiles: Path) -> None:
    app = _app(demo_profiles / "plover")
    async with app.run_test(size=(80, 24)) as pilot:
        assert "p pain or trouble: the client's key; here it does nothing." in await press(pilot, "p")
        assert "does nothing" not in await press(pilot, "z")


async def test_the_preview_takes_two_rows_of_a_small_window(demo_profiles: Path) -> None:
    """On every page and after every answer, the client's own page loses no more than that."""
    app = _app(demo_profiles / "plover")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "right", "right", "3", "tab", "tab", "tab")
        for _ in range(8):
            text = await press(pilot, "right")
            assert len(text.splitlines()[22:]) == 2
            assert text.splitlines()[22].startswith("  Preview")


async def test_the_charts_go_round(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=(80, 24)) as pilot:
        first = await press(pilot, *"plover", "enter", "g")
        assert "plover: load, mean Nm" in first
        assert "picture 1 of 8" in first
        assert "plover: repetitions" in await press(pilot, "right")
        assert await press(pilot, "left") == first
        assert "preview" in await press(pilot, "escape")


async def test_steering_is_one_key_away_from_the_client(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Steering: plover" in await press(pilot, *"plover", "enter", "w")
        assert "preview" in await press(pilot, "escape")

"""The preview on screen: the client's own pages, other answers by the client's own keys, and the charts."""

from collections.abc import Callable
from pathlib import Path

import pytest

from coach.commands.support.loading import client_store
from coach.commands.support.report_factories import PREVIEW_REPORTS
from coach.commands.support.todays_session import todays_session
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.screens.therapist.one_client.history_charts_screen import HistoryChartsScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.therapist_app import TherapistApp
from tests.plans import next_plan
from tests.screens.therapist.therapist_pages import NOW, caseload_app, press, stop_the_clock


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


def _app(folder: Path) -> TherapistApp:
    return TherapistApp(PreviewScreen((next_plan(folder),), NOW, PREVIEW_REPORTS))


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
        assert "step down (pain above usual)" in text
        assert "the next session" in text
        assert "clean answers; the client's keys change them" in await press(pilot, "escape", "a")
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


async def test_the_first_chart_fills_the_room_though_it_is_drawn_before_the_layout_is_made(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    later, early = HistoryChartsScreen.call_after_refresh, list[Callable[[], None]]()

    def at_once_first(screen: HistoryChartsScreen, callback: Callable[[], None]) -> bool:
        if early:
            return later(screen, callback)
        early.append(callback)
        callback()
        return True

    monkeypatch.setattr(HistoryChartsScreen, "call_after_refresh", at_once_first)
    app = caseload_app(demo_profiles)
    async with app.run_test(size=(80, 24)) as pilot:
        first = await press(pilot, *"plover", "enter", "g")
        await press(pilot, "right")
        assert await press(pilot, "left") == first
        assert early


async def test_the_charts_go_round(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=(80, 24)) as pilot:
        first = await press(pilot, *"plover", "enter", "g")
        assert "plover: load, mean Nm" in first
        assert "chart 1 of 8" in first
        assert "plover: repetitions" in await press(pilot, "right")
        assert await press(pilot, "left") == first
        assert "preview" in await press(pilot, "escape")


async def test_steering_is_one_key_away_from_the_client(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "plover: instructions" in await press(pilot, *"plover", "enter", "w")
        assert "preview" in await press(pilot, "escape")


async def test_a_programme_is_gone_through_exercise_by_exercise(demo_profiles: Path) -> None:
    """One check-in, four exercises with what is between them; an answer in a set is that of its exercise alone."""
    store = client_store(demo_profiles / "curlew")
    plans = todays_session(store, NOW).plans
    async with TherapistApp(PreviewScreen(plans, NOW, PREVIEW_REPORTS)).run_test(size=(120, 40)) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, PreviewScreen)
        parts = [entry.state.record.part for entry in screen._entries]
        assert (parts, sorted(set(parts))) == (sorted(parts), list(range(len(plans))))
        assert [entry.name for entry in screen._entries].count("check_in.pain_now") == 1
        first = screen._entries[0].state.record.part
        assert "e exercise" in await press(pilot)
        await press(pilot, "e")
        assert (screen._entry.state.record.part, screen._entry.name) == (first + 1, "between.rest")
        names = [entry.name for entry in screen._entries]
        screen._index = max(
            number for number, name in enumerate(names) if name == "set_2.pain" and parts[number] == 1
        )
        assert "what if: 1 changed" in await press(pilot, "9")
        stopped = [entry.state.record.ended for entry in screen._entries if entry.name == "end"]
        # Severe pain ends the day: the others are not begun.
        assert [one.how for one in stopped if one is not None] == ["finished", "stopped"]
        assert "clean answers; the client's keys change them" in await press(pilot, "a")


async def test_one_of_a_programme_is_opened_at_its_first_page(demo_profiles: Path) -> None:
    store = client_store(demo_profiles / "curlew")
    plans = todays_session(store, NOW).plans
    screen = PreviewScreen(plans, NOW, PREVIEW_REPORTS, begin=plans[2].name)
    async with TherapistApp(screen).run_test(size=(80, 24)):
        assert (screen._entry.state.record.part, screen._entry.state.plan.name) == (2, plans[2].name)

"""Wide windows show a list and its detail side by side; small ones still show all of it."""

from pathlib import Path

import pytest
from textual.widgets import Static

from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.screens.widgets.form import InputForm
from coach.screens.widgets.line_list import LineList
from coach.screens.widgets.plot_view import PlotView
from tests.screens.therapist.therapist_pages import caseload_app, facts_text, press, stop_the_clock

WIDE, USUAL, SMALL = (120, 40), (80, 24), (60, 20)


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


def _shown(app: TherapistApp, selector: str) -> str:
    """The text of one widget of the page in view."""
    return str(app.screen.query_one(selector, Static).visual)


async def test_the_chosen_client_stands_beside_the_caseload(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=WIDE) as pilot:
        assert "load, mean Nm" in await press(pilot)
        assert "External rotation with a band, 90 degrees: 4.25 Nm" in " ".join(facts_text(app).split())
        await press(pilot, "down")
        assert "Internal rotation with a band" in facts_text(app)
        assert len(app.screen.query(PlotView)) == 2
        await pilot.resize_terminal(*USUAL)
        assert "Programme" not in await press(pilot)


async def test_the_client_is_on_one_page_in_a_wide_window(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=WIDE) as pilot:
        text = await press(pilot, *"heron", "enter")
        for shown in (
            "Programme",
            "How it stands",
            "days kept",
            "Last decision",
            "Your last instructions and visits",
        ):
            assert shown in text
        for title in ("load, mean Nm", "pain, 0 to 10", "form faults"):
            assert title in text
        assert sum(bool(line.strip()) for line in text.split("\n")) >= 30
        assert app.screen.query_one("#page").max_scroll_y == 0


@pytest.mark.parametrize("size", [SMALL])
async def test_in_a_smaller_window_the_same_is_reached_by_scrolling(
    demo_profiles: Path, size: tuple[int, int]
) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=size) as pilot:
        seen = await press(pilot, *"heron", "enter")
        for _ in range(6):
            seen += await press(pilot, "pagedown")
    for shown in ("Programme", "Last decision", "load, mean Nm", "pain, 0 to 10", "form faults"):
        assert shown in seen


@pytest.mark.parametrize("size", [WIDE, SMALL])
async def test_the_history_is_a_list_and_says_all_of_the_chosen_session(
    demo_profiles: Path, size: tuple[int, int]
) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=size) as pilot:
        text = await press(pilot, *"heron", "enter", "h")
        assert "> 2026-11-20  Same load  12" in text
        assert "2026-11-20 18:10  Same load." in text
        text = await press(pilot, "down")
        assert "> 2026-11-18  Same load, more" in text
        assert "2026-11-18 18:09  Same load, more repetitions." in text


async def test_with_caps_lock_a_letter_is_the_same_key_but_in_a_field(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=SMALL) as pilot:
        assert "heron: history" in await press(pilot, *"HERON", "enter", "H")
        assert "QZ" in await press(pilot, "escape", "W", "D", "end", *"QZ")


async def test_a_file_that_differs_is_the_first_entry_of_the_history(demo_profiles: Path) -> None:
    (demo_profiles / "heron" / "progress.toml").unlink()
    app = caseload_app(demo_profiles)
    async with app.run_test(size=WIDE) as pilot:
        assert "> the files" in await press(pilot, *"heron", "enter", "h")


@pytest.mark.parametrize("size", [WIDE, SMALL])
async def test_an_instruction_is_opened_by_its_letter_or_from_the_list(
    demo_profiles: Path, size: tuple[int, int]
) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=size) as pilot:
        text = await press(pilot, *"heron", "enter", "w", "home", *("down",) * 10)
        assert "> o  overrule load or repetitions" in text
        assert "A load step must be on the load ladder" in _shown(app, "#told")
        assert "overrule load or repetitions" in (await press(pilot, "enter")).split("\n")[0]
        await press(pilot, "escape")
        assert "change the dose" in (await press(pilot, "d")).split("\n")[0]
        assert "> d  change the dose" in await press(pilot, "escape")


async def test_the_preview_frames_the_clients_screen_beside_its_pages(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=WIDE) as pilot:
        await press(pilot, *"plover", "enter", "p", "right")
        screen = app.screen
        assert isinstance(screen, PreviewScreen)
        assert screen.query_one("#body").parent is screen.query_one("#client-screen")
        frame = screen.query_one("#client-screen").region
        assert (frame.width, frame.height) == (82, 26)
        assert screen.query_one(LineList).at == 1
        before = _shown(app, "#ending")
        text = await press(pilot, "right", "9")
        assert "what if: 1 changed" in text
        assert _shown(app, "#ending") != before


async def test_a_bar_of_kept_days_is_there_too_and_only_what_is_shown_is_explained(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=WIDE) as pilot:
        text = await press(pilot)
        assert "83 %" in next(line for line in text.split("\n") if "> heron" in line)
        legend = _shown(app, "#legend")
        assert "Kept: of the days due" in legend
        assert "Seen:" not in legend
        text = await press(pilot, *"heron", "enter", "s")
        assert "> The setup in numbers" in text
        assert "> The load ladder" in await press(pilot, *["tab"] * 5)
        assert app.screen.query_one("#page").scroll_offset.y > 0
        await pilot.resize_terminal(*USUAL)
        assert "> The load" not in await press(pilot)


async def test_the_client_s_first_page_stands_beside_what_is_signed(demo_profiles: Path) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=WIDE) as pilot:
        text = await press(pilot, *"heron", "enter", "w")
        assert "The client's first page now" in text
        assert "3 sets of 12" in text
        await press(pilot, "d")
        form = app.screen.query_one(InputForm)
        typed = {"dose.sets": "2", "initials": "KB", "reason": "sore again"}
        for field, entry in form._entries():
            entry.value = typed.get(field.key, entry.value)
        form.focus_field("dose.sets")
        text = await press(pilot)
        message = app.screen.query_one("#form-message")
        assert message.region.x > form.region.right - 2
        text = await press(pilot, "ctrl+s")
        assert "The client's first page then" in text
        assert "2 sets of 12" in text
        await pilot.resize_terminal(*USUAL)
        assert "first page then" not in await press(pilot)


@pytest.mark.parametrize("size", [WIDE, SMALL])
async def test_the_charts_of_a_client_without_a_session_say_so(demo_profiles: Path, size: tuple[int, int]) -> None:
    app = caseload_app(demo_profiles)
    async with app.run_test(size=size) as pilot:
        assert "tern: " in await press(pilot, "end", "enter", "g")
        assert not app.screen.query_one(PlotView).display

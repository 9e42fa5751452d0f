"""A page that cannot be shown says so in its own head, and no page offers a key that leads nowhere."""

import re
from collections.abc import Sequence
from pathlib import Path

import pytest
from textual.containers import VerticalScroll
from textual.events import Key
from textual.widgets import Static

from coach.overview.comparison_text import ComparisonHeadings
from coach.overview.history_chart import Chart
from coach.reports.text.layout import heading, row
from coach.screens.therapist.compare_screen import CompareScreen, ToSign
from coach.screens.therapist.instruction_forms import fields_meant
from coach.screens.therapist.one_client.history_charts_screen import HistoryChartsScreen
from coach.screens.therapist.one_client.history_screen import HistoryEntry, HistoryScreen
from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.therapist.report_unavailable import ReportUnavailable
from coach.screens.therapist.text_screen import TextScreen, unavailable_screen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.toml.diagnostic import whole_file
from tests.plans import shipped
from tests.screens.therapist.therapist_pages import NOW, caseload_app, press

_REASON = ReportUnavailable("profile.toml:3: this is not a value")
_PAGES = shipped().messages.therapist.pages


def _refused() -> str:
    raise _REASON


def _no_sessions() -> Sequence[HistoryEntry]:
    raise _REASON


async def test_what_cannot_be_shown_has_a_head_of_its_own() -> None:
    content = shipped()
    app = TherapistApp(unavailable_screen("tern: charts", _REASON, content))
    async with app.run_test(size=(80, 24)) as pilot:
        pages = [await press(pilot)]
        app.push_screen(TextScreen("tern: setup", "setup", _refused, content))
        pages.append(await press(pilot))
        app.push_screen(HistoryScreen("tern: history", _no_sessions, content))
        pages.append(await press(pilot))
        assert "tern: setup" in await press(pilot, "escape")
    for text in pages:
        assert _PAGES.purpose["unavailable"] in text
        assert _PAGES.now["put_right"] in text
        assert "profile.toml:3: this is not a value" in text
        assert "scroll" not in text, "all of it is in the window"


@pytest.mark.parametrize("size", [(80, 24), (80, 60), (120, 40), (160, 100)])
async def test_keys_that_scroll_are_named_where_something_scrolls(demo_profiles: Path, size: tuple[int, int]) -> None:
    messages, app, named = shipped().messages.therapist, caseload_app(demo_profiles), list[bool]()
    words = messages.client_screen.keys["scroll"], messages.steering.keys["scroll"], messages.visit.keys["since"]
    nothing = ComparisonHeadings("before", "after", "alike")
    to_sign = ToSign("plover", "x", "KB", (), nothing, "nothing", lambda: "")

    def assert_named(area: str, word: str, keys: str) -> None:
        scrolls = app.screen.query_one(area, VerticalScroll)
        line = str(app.screen.query_one("#keys", Static).visual)
        named.append(bool(scrolls.max_scroll_y))
        assert (f"{keys} {word}" in line) == named[-1], (area, line)

    async with app.run_test(size=size) as pilot:
        await press(pilot)
        assert_named("#detail", words[0], "ctrl+up ctrl+down")
        await press(pilot, *"plover", "enter")
        assert_named("#page", words[0], "up down")
        await press(pilot, "w")
        assert_named("#detail", words[1], "space backspace")
        await press(pilot, "escape", "v")
        assert_named("#since", words[2], "ctrl+up ctrl+down")
        app.push_screen(CompareScreen(to_sign, shipped(), NOW))
        await press(pilot)
        assert_named("#steering", words[1], "up down")
    assert False in named


async def test_a_list_with_one_line_offers_no_other_and_the_last_one_none_below_it() -> None:
    content = shipped()
    one, other = (HistoryEntry(f"2026-11-0{day}  Same load", ("Same load.",)) for day in (1, 2))
    app = TherapistApp(HistoryScreen("tern: history", lambda: [one], content))
    async with app.run_test(size=(80, 24)) as pilot:
        alone = await press(pilot)
        app.push_screen(HistoryScreen("tern: history", lambda: [other, one], content))
        first, last = await press(pilot), await press(pilot, "down")
        app.push_screen(HistoryChartsScreen("tern", [Chart("load", "load", (), (), ("No session yet.",))], content))
        chart = await press(pilot)
    for text in (alone, last, chart):
        assert _PAGES.now["read"] in text
        assert _PAGES.now["session"] not in text
    assert _PAGES.now["session"] in first
    assert "up down choose" in first
    assert not any("up down" in text or "→" in text for text in (alone, chart))
    assert not any("space" in text for text in (alone, first)), "all of it is in the window"


@pytest.mark.parametrize(
    ("what", "edited", "meant"),
    [
        ("distance_cm = 900 is too large", "setups.45.distance_cm", ["setups.45.distance_cm"]),
        ("distance_cm = 900 is too large", "initials", ["setups.0.distance_cm", "setups.45.distance_cm"]),
        ("positions = 30: the exercise has no such position", "exercise", ["positions"]),
        ("there is no exercise row_back", "positions", ["exercise"]),
        ("nothing would change", "positions", []),
    ],
)
def test_a_fault_marks_the_field_that_it_is_of_and_no_other_that_it_mentions(
    what: str, edited: str, meant: list[str]
) -> None:
    keys = ("setups.0.distance_cm", "setups.45.distance_cm", "exercise", "positions", "initials")
    before = dict.fromkeys(keys, "")
    assert fields_meant(whole_file(Path("x"), what), {**before, edited: "900"}, before) == meant


@pytest.mark.parametrize("columns", [60, 80])
async def test_a_question_is_within_its_window(columns: int) -> None:
    asked = " ".join(f"word{number}" for number in range(20))
    app = TherapistApp(HistoryScreen("x", lambda: [HistoryEntry("", ("",))], shipped()))
    async with app.run_test(size=(columns, 20)) as pilot:
        await press(pilot)
        app.push_screen(QuestionScreen(asked, "yes", "no"))
        assert re.findall(r"word\d+", await press(pilot)) == asked.split()


@pytest.mark.parametrize("columns", [60, 80, 110, 120])
async def test_a_report_is_as_wide_as_its_page(columns: int) -> None:
    """A line that the page had to wrap again would leave a word alone on the next one."""
    said = " ".join(f"word{number}" for number in range(60))

    def report() -> str:
        return "\n".join([*heading("Part"), *row("Label", said), *heading("Other part")])

    app = TherapistApp(TextScreen("x", "setup", report, shipped()))
    async with app.run_test(size=(columns, 24)) as pilot:
        text = await press(pilot)
    lines = [line.rstrip() for line in text.split("\n") if "word" in line]
    shown = [re.search(r"word.*", line) for line in lines]
    assert " ".join(found[0] for found in shown if found).split() == said.split()
    assert len({line.index("word") for line in lines}) == 1, "further lines stand below the first word"


async def test_a_key_pressed_twice_opens_one_page_and_signs_once(demo_profiles: Path) -> None:
    """Both keys are there before the page has answered the first."""
    app = caseload_app(demo_profiles)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *"plover")
        for key in ("enter", "w"):
            before = len(app.screen_stack)
            for _ in range(2):
                app.screen.post_message(Key(key, None))
            await press(pilot)
            assert len(app.screen_stack) == before + 1, key
        signed = list[str]()

        def sign() -> str:
            signed.append("x")
            return "signed"

        nothing = ComparisonHeadings("before", "after", "alike")
        to_sign = ToSign("plover", "x", "KB", (), nothing, "nothing", sign)
        app.push_screen(CompareScreen(to_sign, shipped(), NOW))
        await press(pilot)
        for _ in range(2):
            app.screen.post_message(Key("y", None))
        await press(pilot)
        assert signed == ["x"]


@pytest.mark.parametrize("size", [(60, 24), (80, 24), (80, 26), (120, 24), (120, 40)])
async def test_all_keys_and_all_that_scrolls_are_within_the_window(
    demo_profiles: Path, size: tuple[int, int]
) -> None:
    """Also where the keys that scroll are named only once the page is laid out, and need a row more."""
    app = caseload_app(demo_profiles)
    async with app.run_test(size=size) as pilot:
        for keys, area in (
            ((), "#listing"),
            ((*"plover", "enter"), "#page"),
            ("w", "#detail"),
            (("escape", "v"), "#form"),
        ):
            await press(pilot, *keys)
            bar = app.screen.query_one("#keys", Static)
            rows = str(bar.visual).count("\n") + 1
            assert (bar.region.height, bar.region.bottom) == (rows, size[1]), (keys, str(bar.visual))
            assert app.screen.query_one(area).region.bottom <= bar.region.y, keys

"""Every page of a session says what to do now, with the key that does it, in one row of the least window."""

from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.app import ComposeResult
from textual.widget import Widget
from textual.widgets import Static

from coach.content_files.content_folder import content_folder, load_content
from coach.model.message_format import fill
from coach.model.messages.layout_limits import EDGE_COLUMNS, LEAST_COLUMNS
from coach.screens.base_app import BaseApp
from coach.screens.client import session_app as session_app_module
from coach.screens.client.key_bindings import binding_for
from coach.screens.client.page_types import LessonPage, MoreLines, Now, RestPage, ScreenPage, SetPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.resume_prompts import leave_page, resume_page
from coach.screens.client.setup_context import SetupCache
from coach.screens.client.views.bodies import make_body
from coach.screens.theme import THEMES
from coach.session.runner import pause
from coach.session.state import Instant, State
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import START, FakeClock
from tests.demo.pristine import DEMO
from tests.screens.capture import runs
from tests.screens.every_page import every_page
from tests.screens.gallery import SIZES

_BAR, _CAP = 3, 2  # columns of the mark and the edges of the line, and the edges of a key in it


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_page_but_a_set_under_way_says_what_to_do_now_in_one_row(language: str) -> None:
    seen: dict[type[ScreenPage], set[str]] = {}
    for name, state, page in every_page(language):
        if isinstance(page, SetPage) and not page.counting_in:
            assert page.now is None, name
            continue
        if isinstance(page, SetPage) and state.practising:
            continue
        assert page.now is not None, name
        now = page.now
        long = len(now.before + now.key + now.after) + _CAP * bool(now.key) + _BAR
        assert long <= LEAST_COLUMNS - EDGE_COLUMNS, (name, now)
        if now.key:
            assert binding_for(now.key, state) is not None, name
        seen.setdefault(type(page), set()).add(now.before)
    assert len(seen[TextPage]) >= 6
    assert {RestPage, LessonPage} < set(seen)


@pytest.mark.parametrize("language", ["en", "de"])
def test_whatever_a_page_may_ask_for_fits_in_one_row(language: str) -> None:
    messages = load_content(content_folder(), language).messages.client
    for line in (*messages.now.values(), messages.scale.ten):
        long = len(fill(line, {"key": "enter", "steps": 9})) + _CAP * ("{key}" in line) + _BAR
        assert long <= LEAST_COLUMNS - EDGE_COLUMNS, line


@pytest.mark.parametrize("limit_s", [None, 22.0])
def test_in_a_rest_the_place_is_taken_in_its_last_seconds_and_a_pause_goes_on(limit_s: float | None) -> None:
    messages = load_content(content_folder(), "en").messages.client.now
    state, page = next((state, page) for _, state, page in every_page("en") if isinstance(page, RestPage))
    assert page.now == Now(messages["rest"].partition("{")[0], "enter", messages["rest"].partition("}")[2])
    if limit_s is not None:  # as a therapist may set it
        state = state._replace(plan=replace(state.plan, limits={**state.plan.limits, "take_place_s": limit_s}))
    left_s = state.plan.limits["take_place_s"]
    assert page_at(state, SetupCache().of(state), _when_left(state, left_s + 1)).now == page.now
    at_s = _when_left(state, left_s)
    assert page_at(state, SetupCache().of(state), at_s).now == Now(messages["take_place"])
    paused = pause(state, Instant(at_s, START))
    assert page_at(paused, SetupCache().of(paused), at_s).now == Now(
        "Paused. ", "enter", " goes on when you are ready."
    )


def _when_left(state: State, left_s: float) -> float:
    """When so many seconds are left of the rest of this state."""
    return state.seen_s + state.rest_left_s(state.seen_s) - left_s


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("language", ["en", "de"])
async def test_the_last_seconds_before_a_set_are_drawn_with_the_place_to_take(
    language: str, size: tuple[int, int]
) -> None:
    take_place = load_content(content_folder(), language).messages.client.now["take_place"]
    rest = next((state for _, state, page in every_page(language) if isinstance(page, RestPage)))
    last = page_at(rest, SetupCache().of(rest), _when_left(rest, 5))
    begins = next(page for _, _, page in every_page(language) if isinstance(page, SetPage) and page.counting_in)
    assert isinstance(last, RestPage)
    pages = (last, replace(last, large=""), begins, replace(begins, cue=""))
    app = _OnePage(pages[0], size)
    async with app.run_test(size=(size[0], size[1] - 3)) as pilot:  # without its title and two rows of keys
        for page in pages:
            await app.query("#body").remove()
            await app.mount(make_body(page, "", MoreLines(), *size))
            await pilot.pause()
            drawn = "".join(run.text for row in runs(app) for run in row)
            assert drawn.count(take_place) == 1, page


def test_what_is_asked_for_follows_from_the_page() -> None:
    messages = load_content(content_folder(), "en").messages.client
    now = {name.partition(" ")[2]: page.now for name, _, page in every_page("en") if name.startswith("tern")}
    assert now["setup.place"] == Now("Do the 4 steps. Then press ", "enter", ".")
    assert now["check_in.pain_now"] == Now(messages.scale.ten)
    assert now["check_in.sign"] == Now(messages.now["answer"])
    plan = open_session(ClientStore.read(DEMO / "tern"), FakeClock()()).plan
    assert leave_page(plan).now == Now(messages.now["answer"])
    assert resume_page(plan, next(state.record for _, state, _ in every_page("en"))).now == Now(
        messages.now["answer"]
    )


class _OnePage(BaseApp):
    """One page, in its styles."""

    CSS_PATH = Path(session_app_module.__file__).with_name("session.tcss")

    def __init__(self, page: ScreenPage, size: tuple[int, int]) -> None:
        super().__init__("dusk")
        self._page, self._window = page, size

    def compose(self) -> ComposeResult:
        yield make_body(self._page, "", MoreLines(), *self._window)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_key_is_drawn_as_a_key_and_is_in_the_window(size: tuple[int, int]) -> None:
    pages = {name: page for name, _, page in every_page("en")}
    for name in ("tern today", "tern setup.place", "tern teach"):
        page = next(page for full, page in pages.items() if full.startswith(name))
        app = _OnePage(page, size)
        async with app.run_test(size=(size[0], size[1] - 3)) as pilot:  # without its title and two rows of keys
            await pilot.pause()
            keys = [run for row in runs(app) for run in row if run.text == " enter "]
            assert [run.ground for run in keys] == [_rgb(THEMES["dusk"].primary)], name


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:], 16)


@pytest.mark.parametrize("size", SIZES[:2], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_large_number_of_a_set_says_what_it_counts(size: tuple[int, int]) -> None:
    page = next(page for _, _, page in every_page("en") if isinstance(page, SetPage) and page.count)
    app = _OnePage(page, size)
    async with app.run_test(size=(size[0], size[1] - 2)) as pilot:  # without its title and one row of keys
        await pilot.pause()
        label: Widget = app.query_one("#of-count")
        assert isinstance(label, Static)
        assert (str(label.content), label.display) == ("seconds", True)
        assert label.region.y == app.query_one("#count").region.bottom

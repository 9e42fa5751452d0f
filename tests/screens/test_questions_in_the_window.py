"""Every page that asks something shows the question, its answers and its scale without being scrolled."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.screens.base_app import BaseApp
from coach.screens.client import session_app as session_app_module
from coach.screens.client.key_bindings import active_bindings
from coach.screens.client.page_types import MoreLines, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.screens.client.views.page_view import PageView
from coach.screens.widgets.text import key_lines
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.screen_catalogue import catalogue_entries
from coach.session.state import State
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import START, FakeClock
from tests.demo.histories import HISTORIES, PROGRAMMES
from tests.screens.gallery import SIZES, USUAL, Size

_TITLE_ROWS = 1


class _Shown(NamedTuple):
    """A page in a window, its name, and the rows that its title and keys leave it."""

    name: str
    page: TextPage
    rows: int


def _asked_at_the_mark(plan: Plan) -> Iterator[tuple[str, State, float]]:
    """What is asked between two sets of a session: pain, every fault, and how hard it was."""
    every = {**plan.limits, "form_each_set": len(plan.position.questions)}
    for state in rehearsed_states(first_state(replace(plan, limits=every), START), Answers()):
        if state.question is not None and state.question.set_number:
            yield state.question.name, state, state.seen_s


def _everything(plan: Plan) -> Iterator[tuple[str, State, float]]:
    """Every screen that the coach can look at in the proof."""
    return ((entry.name, entry.state, entry.at_s) for entry in catalogue_entries(plan, START))


def _questions(
    profiles: Path, language: str, size: Size, moments: Callable[[Plan], Iterator[tuple[str, State, float]]]
) -> Iterator[_Shown]:
    """Every page of these moments that is answered, of every demo client, once."""
    seen: set[TextPage] = set()
    for client in (*HISTORIES, *PROGRAMMES):
        for store in ClientStore.read(profiles / client, load_content(content_folder(), language)).exercises:
            plan, setups = open_session(store, FakeClock()()).plan, SetupCache()
            named = plan.content.messages.client.keys.model_dump()
            for name, state, at_s in moments(plan):
                page = page_at(state, setups.of(state), at_s)
                if isinstance(page, TextPage) and page.choices and page not in seen:
                    seen.add(page)
                    keys = [f"{binding.key} {named[binding.word]}" for binding in active_bindings(state)]
                    rows = size[1] - _TITLE_ROWS - len(key_lines(keys, size[0]).split("\n"))
                    yield _Shown(f"{client} {name}", page, rows)


def _with_remark(shown: list[_Shown], remark: str) -> list[_Shown]:
    """The pages asked at the mark, after a pain within the limit."""
    return [one._replace(page=replace(one.page, remark=remark)) for one in shown if one.page.at_mark]


class _Stack(BaseApp):
    """Pages below one another, each laid out as in a window of its own."""

    CSS_PATH = Path(session_app_module.__file__).with_name("session.tcss")

    def __init__(self, shown: list[_Shown], size: Size) -> None:
        super().__init__("dusk")
        self._pages, self._window = shown, size

    def compose(self) -> ComposeResult:
        with VerticalScroll():
            for one in self._pages:
                window = Container(PageView(one.page, "", MoreLines("more"), *self._window))
                window.styles.width, window.styles.height = self._window[0], one.rows
                yield window


async def _all_in_their_windows(shown: list[_Shown], size: Size) -> None:
    app = _Stack(shown, size)
    async with app.run_test(size=(100, 24)) as pilot:
        await pilot.pause()
        for one, view in zip(shown, app.query(PageView), strict=True):
            for part in ("#blocks, .lead", "#blocks, .choices"):
                below = view.query(part).last().virtual_region.bottom
                assert below <= view.query_one("#column").size.height, (one.name, part)


async def test_what_is_asked_at_the_mark_is_in_the_window(demo_profiles: Path) -> None:
    shown = list(_questions(demo_profiles, "en", USUAL, _asked_at_the_mark))
    assert len(shown) > 20
    await _all_in_their_windows(shown, USUAL)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("size", SIZES[:2], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_question_is_in_the_window(demo_profiles: Path, size: Size, language: str) -> None:
    shown = list(_questions(demo_profiles, language, size, _everything))
    assert len(shown) > 80
    remark = load_content(content_folder(), language).messages.client.pain.within
    await _all_in_their_windows([*shown, *_with_remark(shown, remark)], size)

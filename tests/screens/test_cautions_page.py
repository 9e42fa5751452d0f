"""The cautions have a shape: when to stop stands first and apart, the others in groups; none of them is lost."""

from pathlib import Path

import pytest
from textual.app import ComposeResult

from coach.model.message_format import fill
from coach.screens.base_app import BaseApp
from coach.screens.client import session_app as session_app_module
from coach.screens.client.page_types import MoreLines, TextPage
from coach.screens.client.views.page_view import PageView
from coach.screens.plain.page_lines import page_lines
from coach.session.lessons.cautions import Cautions
from coach.session.state import State
from tests.screens.capture import as_text, runs, without_drawings
from tests.screens.every_page import every_page


def cautions_page(language: str) -> tuple[State, TextPage]:
    """The page of a client with one exercise."""
    state, page = next((state, page) for name, state, page in every_page(language) if name == "tern cautions")
    assert isinstance(page, TextPage)
    return state, page


@pytest.mark.parametrize(("language", "call"), [("en", "emergency number"), ("de", "Notruf")])
def test_when_to_stop_comes_first_and_the_others_are_in_groups(language: str, call: str) -> None:
    state, page = cautions_page(language)
    content, position = state.plan.content, state.plan.position.name
    safety, head = content.messages.safety, content.messages.client.today.cautions_head
    limit = {"pain_max": state.plan.pain_limit}
    stops, shared = ([fill(line, limit) for line in lines] for lines in (safety.cautions_stop, safety.cautions))
    exercise = [*content.messages.exercises["external_rotation"].at(position).cautions]
    assert call in page.stops[0]
    assert str(state.plan.pain_limit) in page.stops[1]
    assert [*page.stops] == stops
    assert page.lead == safety.cautions_at_first[0]
    assert [*page.listed] == [*shared, *exercise, *safety.cautions_at_first[1:]]
    begins = {shared[0]: "band", exercise[0]: "exercise", safety.cautions_at_first[1]: "at_first"}
    assert page.heads == tuple((page.listed.index(line), head[kind]) for line, kind in begins.items())  # type: ignore[index]


def test_a_group_without_cautions_has_no_head_and_one_of_the_client_has_its_own() -> None:
    words = {"band": "B", "exercise": "E", "own": "O", "at_first": "F"}
    without = Cautions(("stop",), ("b1", "b2"), (), (), ("lead",))
    assert without.heads(words) == ((0, "B"),)  # type: ignore[arg-type]
    whole = Cautions((), ("b1", "b2"), ("e",), ("o1", "o2"), ("lead", "f"))
    assert whole.heads(words) == ((0, "B"), (2, "E"), (3, "O"), (5, "F"))  # type: ignore[arg-type]


@pytest.mark.parametrize("language", ["en", "de"])
def test_line_by_line_the_groups_are_said_in_the_same_order(language: str) -> None:
    state, page = cautions_page(language)
    lines = [*page_lines(page, state.plan.content.messages.client.plain)]
    assert lines[1:4] == [*page.stops, page.lead]
    for at, head in page.heads:
        assert lines[lines.index(f"{head}:") + 1] == f"- {page.listed[at]}"


class _Cautions(BaseApp):
    CSS_PATH = Path(session_app_module.__file__).with_name("session.tcss")

    def __init__(self, page: TextPage, size: tuple[int, int]) -> None:
        super().__init__("dusk")
        self._page, self._window = page, size

    def compose(self) -> ComposeResult:
        yield PageView(self._page, "", MoreLines("more"), *self._window)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(("size", "keys"), [((60, 20), 2), ((80, 24), 1)])
async def test_the_usual_window_shows_all_of_them_and_the_least_one_the_most_dangerous(
    language: str, size: tuple[int, int], keys: int
) -> None:
    _, page = cautions_page(language)
    app = _Cautions(page, size)
    async with app.run_test(size=(size[0], size[1] - 1 - keys)) as pilot:  # without its title and its keys
        await pilot.pause()
        text = " ".join(without_drawings(as_text(runs(app))).split())
        seen = [line for line in (*page.stops, page.lead, *page.listed) if line in text]
        assert text.startswith(page.stops[0])
        whole = size == (80, 24)
        assert app.query_one(PageView).has_class("longer") != whole
        assert len(seen) == (len(page.stops) + 1 + len(page.listed) if whole else 5)

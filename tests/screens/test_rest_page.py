"""The rest: seconds first, then what was done, then what comes; all of it in the smallest window."""

import pytest
from msgspec.structs import replace
from textual.app import ComposeResult

from coach.screens.base_app import BaseApp
from coach.screens.client.page_types import Now, RestPage
from coach.screens.client.views.moving_views import RestView
from tests.screens.capture import as_text, runs

_FREE = 3
CHANGE = "Change only the band: knotted to striped, one strand. Stay at the 85 cm mark."
CUE = "Let the blade rest. Turn only the arm."
PAGE = RestPage(
    title="Rest before set 2 of 3",
    left="43",
    lines=(
        f"Next set, think of: {CUE}",
        "You will be asked about: the shoulder blade, the elbow.",
        "Next: 8 repetitions",
    ),
    part=0.3,
    large=CUE,
    done="Set 1: 8 repetitions done",
    of_left="seconds",
    word="rest",
    large_head="Next set, think of:",
    instead_of=f"Next set, think of: {CUE}",
    now=Now("Rest. ", "enter", " starts the set sooner."),
)
CHANGED = replace(PAGE, large="striped", change=CHANGE, large_head=CHANGE, instead_of="")


async def test_without_a_set_before_it_what_comes_next_stands_out() -> None:
    between = replace(PAGE, done="", large="", lines=("Next: the other arm.",))
    app = RestApp((80, 24), between)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert [run.bold for row in runs(app) for run in row if "the other arm" in run.text] == [True]
        assert not app.query("#cue-head"), "a cue that is shown on request only has no head either"


class RestApp(BaseApp):
    """The body of a rest, below a row for its title and above two for its keys."""

    CSS_PATH = "../../coach/screens/client/session.tcss"
    CSS = "RestView { margin: 1 0 2 0; }"

    def __init__(self, size: tuple[int, int], page: RestPage = PAGE) -> None:
        super().__init__("dusk")
        self._window, self._page = size, page

    def compose(self) -> ComposeResult:
        """The body alone."""
        yield RestView(self._page, *self._window)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (80, 26), (80, 28), (80, 30), (80, 31), (120, 28), (120, 40)])
@pytest.mark.parametrize("page", [PAGE, CHANGED], ids=["cue", "change"])
async def test_what_matters_stands_first_and_all_of_it_is_seen(size: tuple[int, int], page: RestPage) -> None:
    app = RestApp(size, page)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        text = as_text(runs(app))
        word, number, bar = (app.query_one(one).region for one in ("#rest-word", "#left", "#part"))
        assert word.height == number.height >= 7
        is_large = bool(app.query("#large-cue"))
        words = [page.done, "You will be asked about", "Next: 8"]
        words[:0] = ["Change only the band"] if page.change and not is_large else []
        rows = [next(row for row, line in enumerate(text.split("\n")) if word in line) for word in words]
        assert rows == sorted(rows)
        assert number.y <= rows[0]
        assert rows[-1] < bar.y < size[1] - 2
        assert bar.bottom <= app.query_one("#now").region.y
        assert app.query_one("#now").region.bottom <= size[1] - 2
        assert "seconds" in text
        for cue in app.query("#large-cue"):
            assert max(number.bottom, rows[-1] + 1) < cue.region.y
            assert app.query_one("#cue-head").region.bottom <= cue.region.y < cue.region.bottom <= bar.y
            free = app.query_one("#now").region.y - bar.bottom
            apart = app.query_one("#cue-head").region.y - app.query_one("#rest-row").region.bottom
            assert apart > 0 or not free, "what is left of the window is between the countdown and the cue"
            assert free < _FREE or bar.y > cue.region.bottom, "and around the cue"
        assert page.change or is_large == ("think of: Let" not in text)
        assert size[1] not in (20, 24, 40) or is_large == (size[0] > 60)
        assert "Next set, think of:" in text


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_what_to_change_is_said_once(size: tuple[int, int]) -> None:
    """Above what is new in large letters, where there is room for them."""
    app = RestApp(size, CHANGED)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        lines = as_text(runs(app)).split("\n")
        assert [run.bold for row in runs(app) for run in row if "Change only" in run.text] == [True]
        assert "From now on" not in "\n".join(lines)
        for large in app.query("#large-cue"):
            head = app.query_one("#cue-head").region
            assert next(row for row, line in enumerate(lines) if "Change only" in line) == head.y
            assert head.bottom <= large.region.y <= head.bottom + 1

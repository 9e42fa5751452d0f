"""A list that is longer than its window says how many more lines there are, on every page that has one."""

from pathlib import Path

import pytest

from coach.screens.therapist.instruction_forms import INSTRUCTION_FORMS
from tests.plans import shipped
from tests.screens.therapist.therapist_pages import (
    assert_lists_tell_what_they_hide,
    caseload_app,
    press,
    stop_the_clock,
)


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


async def test_every_list_in_the_smallest_window_and_in_the_usual_one(demo_profiles: Path) -> None:
    """The lists beside a detail only stand in wide windows; `PageRecorder` looks at those."""
    app = caseload_app(demo_profiles)
    async with app.run_test(size=(60, 20)) as pilot:
        lists = {"history": (*"plover", "enter", "h"), "timeline": ("p", "t"), "steering": ("w",)}
        for page, keys in lists.items():
            await press(pilot, *keys)
            for at, hidden in (("home", "more below"), ("end", "more above")):
                assert hidden in await press(pilot, at), page
                assert_lists_tell_what_they_hide(app)
            await press(pilot, *("escape",) * (2 if page == "timeline" else 1))
        await press(pilot, "w")
        await pilot.resize_terminal(80, 24)
        text = await press(pilot, "home")
        groups = shipped().messages.therapist.steering.group
        heads = [groups[form.group] for form in INSTRUCTION_FORMS]
        rows = [row for row in text.split("\n") if row.strip().startswith(tuple(groups.values()))]
        assert [row.split("  ")[1] for row in rows] == list(dict.fromkeys(heads)), "each head once, at its first line"
        titles = [form.title_in(shipped().messages.therapist.steering).name for form in INSTRUCTION_FORMS]
        assert [title for title in titles if title not in text] == []
        for keys in (("d",), ("escape", "escape", "p")):  # a form, and the client's own page
            await press(pilot, *keys)
            await pilot.resize_terminal(1, 1)  # dragged shut
            await pilot.pause()
            await pilot.resize_terminal(80, 24)
        assert app.failed is None

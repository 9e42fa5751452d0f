"""Messages as long as the models allow fit on the smallest screen, so that the limits match the layout."""

import shutil
from pathlib import Path

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model import step_names
from coach.model.content import Content
from coach.model.messages.layout_limits import LEAST_COLUMNS, LEAST_ROWS
from coach.screens.widgets.big_text import BigText
from coach.screens.widgets.text import key_lines
from tests.clocks import FakeClock
from tests.journeys import walk as journey
from tests.screens.capture import as_text, runs

_CUE = "w" * 28 + " " + "w" * 27
_LONGEST = {
    '"out"': '"wwwwwww"',
    '"hold"': '"mmmmmmm"',
    '"pause"': '"wwwwwwwwwwwwww"',
    '"pain or trouble"': '"mmmmmmmmmmmmmmmm"',
    '"end set"': '"vvvvvvvvvvvvvv"',
    '"end session"': '"nnnnnnnnnnnnnn"',
    '"cue"': '"uuuuuuuuuuuuuu"',
    '"Stopped. Hand back slowly, to the anchor."': f'"{"o" * 45}"',
    '"Rehearsal: {title}"': f'"{"r" * 11}{{title}}"',
}


@pytest.fixture
def longest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Content:
    """The content with every message of the set as long as allowed."""
    folder = Path(shutil.copytree(content_folder(), tmp_path / "content"))
    screens = folder / "en" / "client.toml"
    text = screens.read_text("utf-8")
    for old, new in _LONGEST.items():
        assert f"= {old}" in text
        text = text.replace(f"= {old}", f"= {new}")
    screens.write_text(text, "utf-8")
    exercise = folder / "en" / "external_rotation.toml"
    exercise.write_text(
        exercise.read_text("utf-8").replace('"Move your hand out to the line."', f'"{_CUE}"'), "utf-8"
    )
    monkeypatch.setattr("coach.content_files.content_folder.content_folder", lambda: folder)
    return load_content(folder, "en")


@pytest.mark.usefixtures("longest")
async def test_the_longest_words_are_whole_on_the_smallest_set_screen(demo_profiles: Path) -> None:
    tern, clock = demo_profiles / "tern", FakeClock()
    prescription = tern / "prescription.toml"
    text = prescription.read_text("utf-8")
    assert "out_s = 3" in text
    prescription.write_text(text.replace("out_s = 3", "out_s = 10"), "utf-8")
    app = journey.session_app(tern, clock)
    async with app.run_test(size=(LEAST_COLUMNS, LEAST_ROWS)) as pilot:
        await journey.walk(pilot, app, clock, {}, lambda state: state.step.name == step_names.REACH)
        await pilot.press("enter")
        await journey.let_pass(pilot, app, clock, 20.2)
        seen = as_text(runs(app))
        word, count = app.query_one("#word", BigText), app.query_one("#count", BigText)
        assert (word._text, count._text) == ("wwwwwww", "10")
        assert not word.region.overlaps(count.region)
        assert word.region.x + max(map(len, word._drawn)) <= count.region.x
        assert _CUE in seen
        for key in ("pause", "pain or trouble", "end set", "end session"):
            assert _LONGEST[f'"{key}"'].strip('"') in seen
        assert app.query_one("#keys").region.height == 2
        await pilot.press("p")
        await pilot.pause()
        assert "o" * 45 in as_text(runs(app))


def test_a_title_is_whole_in_a_rehearsal(longest: Content) -> None:
    mark = longest.messages.client.rehearsal.mark
    assert len(mark.replace("{title}", longest.messages.client.question["trouble"].title)) == LEAST_COLUMNS - 4


def test_five_keys_as_long_as_they_may_be_take_two_rows(longest: Content) -> None:
    """In a set without its cue; one letter more in each would take a third row from the large letters."""
    messages = longest.messages.client.keys
    keys = [
        f"space {messages.pause}",
        f"p {messages.pain}",
        f"s {messages.stop_set}",
        f"c {messages.cue}",
        f"q {messages.leave}",
    ]
    assert len(key_lines(keys, LEAST_COLUMNS).split("\n")) == 2
    assert len(key_lines([f"{key}+" for key in keys], LEAST_COLUMNS).split("\n")) == 3

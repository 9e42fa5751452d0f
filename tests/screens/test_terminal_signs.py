"""The signs for each terminal, by what it says of itself; and that the option and the profile overrule it."""

import shutil
import string
import tempfile
from pathlib import Path

import pytest

from coach.drawing.cells.signs import SIGN_SETS
from coach.model.option_names import SignSetName
from coach.screens.terminal_signs import signs_for
from coach.screens.widgets.scene_view import SceneView
from tests.clocks import FakeClock
from tests.journeys.walk import let_pass, session_app, walk


@pytest.mark.parametrize(
    ("environment", "signs"),
    [
        ({}, "quadrants"),
        ({"TERM": "xterm-256color"}, "quadrants"),
        ({"TERM": "linux"}, "halves"),
        ({"TERM": "xterm-kitty", "KITTY_WINDOW_ID": "1"}, "sextants"),
        ({"TERM": "foot"}, "sextants"),
        ({"TERM": "foot-extra"}, "sextants"),
        ({"TERM": "xterm-256color", "TERM_PROGRAM": "WezTerm"}, "sextants"),
        ({"TERM": "xterm-ghostty", "TERM_PROGRAM": "ghostty"}, "sextants"),
        ({"TERM": "xterm-ghostty", "TERM_PROGRAM": "ghostty", "TERM_PROGRAM_VERSION": "1.1.3"}, "sextants"),
        ({"TERM": "xterm-ghostty", "TERM_PROGRAM": "ghostty", "TERM_PROGRAM_VERSION": "1.3.1-arch2"}, "octants"),
        ({"TERM": "xterm-kitty", "TERM_PROGRAM": "ghostty", "TERM_PROGRAM_VERSION": "1.3.1"}, "quadrants"),
        ({"TERM": "xterm-256color", "TERM_PROGRAM": "Apple_Terminal"}, "quadrants"),
        ({"TERM": "xterm-256color", "VTE_VERSION": "5202"}, "quadrants"),
        ({"TERM": "xterm-256color", "VTE_VERSION": "6800"}, "sextants"),
        ({"TERM": "xterm-256color", "VTE_VERSION": "8001"}, "octants"),
        ({"TERM": "xterm-256color", "VTE_VERSION": "new"}, "quadrants"),
        # In a multiplexer the variables are those of the terminal in which it was started.
        ({"TERM": "tmux-256color", "TMUX": "/tmp/tmux,1,0", "VTE_VERSION": "8001"}, "quadrants"),
        ({"TERM": "xterm-256color", "TMUX": "/tmp/tmux,1,0", "VTE_VERSION": "8001"}, "quadrants"),
        ({"TERM": "screen", "STY": "1.pts", "KITTY_WINDOW_ID": "1"}, "quadrants"),
        ({"TERM": "xterm-256color", "ZELLIJ": "0", "KITTY_WINDOW_ID": "1"}, "quadrants"),
        # A terminal that was started from another one.
        ({"TERM": "xterm-256color", "XTERM_VERSION": "XTerm(390)", "VTE_VERSION": "8001"}, "quadrants"),
        ({"TERM": "alacritty", "ALACRITTY_WINDOW_ID": "7", "KITTY_WINDOW_ID": "1"}, "quadrants"),
        ({"TERM": "xterm-kitty", "KITTY_WINDOW_ID": "1", "VTE_VERSION": "8001"}, "quadrants"),
    ],
)
def test_the_terminal_says_what_it_draws(environment: dict[str, str], signs: SignSetName) -> None:
    assert signs_for("auto", environment) == signs


def test_a_choice_overrules_the_terminal() -> None:
    assert signs_for("octants", {"TERM": "linux"}) == "octants"
    assert signs_for("halves", {"TERM": "xterm-256color", "VTE_VERSION": "8001"}) == "halves"


_LETTERS = set(string.ascii_letters)  # of the words in a drawing


async def _drawn(profiles: Path, signs: SignSetName | None = None) -> set[str]:
    """The characters of the moving arm, in a session of its own."""
    clock = FakeClock()
    client = Path(shutil.copytree(profiles / "tern", Path(tempfile.mkdtemp(dir=profiles)) / "tern"))
    app = session_app(client, clock, signs=signs)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_1.work")
        await let_pass(pilot, app, clock, 21.0)
        arm = app.query_one("#arm", SceneView)
        return {
            sign for y in range(arm.size.height) for segment in arm.render_line(y) for sign in segment.text
        } - _LETTERS


async def test_the_profile_and_the_option_choose_the_signs(demo_profiles: Path) -> None:
    octants = set(SIGN_SETS["octants"].signs) - set(SIGN_SETS["sextants"].signs) - set(SIGN_SETS["quadrants"].signs)
    profile = demo_profiles / "tern" / "profile.toml"
    assert await _drawn(demo_profiles) <= set(SIGN_SETS["quadrants"].signs)
    profile.write_text('signs = "octants"\n' + profile.read_text("utf-8"), "utf-8")
    assert await _drawn(demo_profiles) & octants
    assert await _drawn(demo_profiles, "halves") <= set(SIGN_SETS["halves"].signs)


async def test_without_colour_the_signs_are_enough(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Shades for the body instead of quiet colours, and on a console of sixteen colours halves for the arm."""
    monkeypatch.setenv("NO_COLOR", "1")
    assert "░" in await _drawn(demo_profiles)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "linux")
    drawn = await _drawn(demo_profiles)
    assert "░" in drawn
    assert drawn <= {*SIGN_SETS["halves"].signs, *"░▒▓"}

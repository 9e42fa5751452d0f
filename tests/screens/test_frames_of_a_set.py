"""The frames of a set: drawn before anything moves, and written to the terminal without a flicker."""

from pathlib import Path

import pytest

from coach.screens.widgets.scene_view import SceneView
from tests.clocks import FakeClock
from tests.journeys.walk import let_pass, session_app, walk
from tests.screens.watched_terminal import WatchedTerminal

_SIZE = (80, 24)


async def test_no_frame_erases_what_the_next_one_shows_again(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Over one way of the arm; while it counted in, the program drew all frames of the arm."""
    clock, terminal, written = FakeClock(), WatchedTerminal(*_SIZE), list[str]()
    app = session_app(demo_profiles / "tern", clock)
    async with app.run_test(size=_SIZE) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_1.work")
        await pilot.pause()
        for _ in range(79):
            clock.advance(0.125)
            await app._frame()
        drawn = app.query_one("#arm", SceneView)._frames
        in_count_in = len(drawn)
        await let_pass(pilot, app, clock, 0.25)
        assert app._driver is not None
        monkeypatch.setattr(app._driver, "write", written.append)
        monkeypatch.setattr(type(app._driver), "is_headless", False)
        for _ in range(30):
            await let_pass(pilot, app, clock, 0.1)
            terminal.frame("".join(written).encode())
            written.clear()
    seen = terminal.seen
    assert sum(changed > 0 for changed in seen.changed) > 15, seen.text()
    assert (seen.erased, seen.twice, seen.blinked) == (0, 0, 0), seen.text()
    assert len(drawn) == in_count_in, f"{len(drawn) - in_count_in} frames were drawn while the arm moved"

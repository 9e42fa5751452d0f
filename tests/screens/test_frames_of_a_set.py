"""The frames of a set: drawn before anything moves, and written to the terminal without a flicker."""

from pathlib import Path

import pytest

from coach.drawing.shapes import Scene
from coach.screens.client.pages import set_page
from coach.screens.client.session_app import FRAMES_PER_SECOND
from coach.screens.client.setup_context import setup_context
from coach.screens.widgets.scene_view import SceneView
from coach.session.script import Work
from coach.session.tempo import moment_at
from tests.clocks import FakeClock
from tests.journeys.walk import let_pass, session_app, walk
from tests.plans import begun
from tests.screens.watched_terminal import WatchedTerminal

_SIZE = (80, 24)


def test_a_frame_of_the_count_in_draws_a_part_of_one_picture() -> None:
    """At twenty frames a second: no frame draws half of a picture more, and at the first movement all are drawn."""
    state = begun("tern")
    work = next(step for step in state.script.steps if isinstance(step, Work))
    context, frames = setup_context(state.plan, state.record), round(work.time.count_in_s * FRAMES_PER_SECOND)
    pages = [
        set_page(state, 1, work.time, moment_at(work.time, frame / FRAMES_PER_SECOND), context)
        for frame in range(frames)
    ]
    pictures: list[Scene] = []
    before, most = 0.0, 0.0
    for page in pages:
        assert page.ahead is not None
        if not pictures or page.ahead != pictures[-1]:
            pictures.append(page.ahead)
            most, before = max(most, 1.0 - before + page.ahead_part if len(pictures) > 1 else 0.0), page.ahead_part
        most, before = max(most, page.ahead_part - before), page.ahead_part
    assert len(pictures) == len(set(pictures)) == 61
    assert most < 0.5
    assert before == 1.0


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
            clock.advance(0.25)
            await app._frame()
        drawn = app.query_one("#arm", SceneView)._frames
        in_count_in = len(drawn)
        await let_pass(pilot, app, clock, 0.375)
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

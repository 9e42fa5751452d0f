"""Behaviour of the screens with keys, sizes and time that snapshots do not show."""

import errno
import os
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from textual.containers import VerticalScroll
from textual.pilot import Pilot
from textual.widgets import Static

from coach.model import step_names
from coach.screens.client.session_app import SessionApp
from coach.screens.widgets.text import key_lines
from coach.session.script import Work
from coach.session.signals import Signal
from coach.store.records import record_file
from tests.clocks import FakeClock
from tests.journeys.walk import let_pass, live, session_app, walk
from tests.screens.capture import as_text, runs


def test_keys_move_closer_before_they_take_another_line() -> None:
    assert key_lines(["a one", "b two"], 17) == "a one   b two"
    assert key_lines(["a one", "b two"], 16) == "a one  b two"
    assert key_lines(["a one", "b two"], 15) == "a one\nb two"
    assert key_lines([], 15) == ""


async def test_what_does_not_fit_is_said_and_reached_with_the_arrows(demo_profiles: Path) -> None:
    app = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.press("enter")
        more = app._content.messages.client.keys.more
        await _until(pilot, lambda: more in as_text(runs(app)))
        last = live(app).state.plan.content.messages.safety.cautions_at_first[-1]
        before = as_text(runs(app))
        assert more in before
        assert last[-12:] not in before
        await pilot.press("pagedown")
        await _until(pilot, lambda: last[-12:] in as_text(runs(app)))
        assert app.query_one("#column", VerticalScroll).scroll_y > 0
        await pilot.resize_terminal(120, 40)
        await _until(pilot, lambda: more not in as_text(runs(app)))


async def _until(pilot: Pilot[None], holds: Callable[[], bool]) -> None:
    """Let the app work until a condition holds; fail if it never does."""
    for _ in range(100):
        if holds():
            return
        await pilot.pause()
    raise AssertionError("it never came to hold")


async def test_a_window_made_too_small_pauses_and_says_so_and_comes_back(demo_profiles: Path) -> None:
    clock = FakeClock()
    app = session_app(demo_profiles / "tern", clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == step_names.REACH)
        await pilot.press("enter")
        await let_pass(pilot, app, clock, 22.0)
        await pilot.resize_terminal(50, 15)
        await pilot.pause()
        assert "50 by 15" in as_text(runs(app))
        assert live(app).state.paused
        await pilot.resize_terminal(1, 1)  # dragged shut
        await pilot.pause()
        await pilot.resize_terminal(60, 20)
        await pilot.pause()
        assert "50 by 15" not in as_text(runs(app))
        assert live(app).state.paused


async def test_each_signal_is_heard_once_and_none_while_nothing_runs(demo_profiles: Path) -> None:
    """Driven by the app's own frames: a pause in the middle of a repetition, and a gap, are silent."""
    clock, heard = FakeClock(), list[str]()
    app = session_app(demo_profiles / "tern", clock)

    def hear(signals: Sequence[Signal], *_: object) -> None:
        heard.extend(signal.name for signal in signals)

    async def frames(seconds: float) -> None:
        for _ in range(round(seconds / 0.5)):
            clock.advance(0.5)
            await app._frame()

    app._announcer.sounder.sound = hear  # type: ignore[method-assign, assignment]  # what is asked for, without a program
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == step_names.REACH)
        await pilot.press("enter")
        await frames(26.0)
        assert heard == ["count"] * 19 + ["out", "hold", "back"]
        await pilot.press("space")
        await frames(20.0)
        await pilot.press("space")
        assert len(heard) == 22
        await frames(20.0)
        clock.advance(60.0)
        await app._frame()
        assert heard[22:] == ["count"] * 19 + ["out"]
        assert live(app).state.paused


async def test_a_set_that_cannot_be_saved_pauses_and_the_note_stays_until_a_key(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full as the set ends: the next frames neither run on nor take the note away."""
    clock = FakeClock()
    app = session_app(demo_profiles / "tern", clock)

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, until=lambda state: isinstance(state.step, Work))
        with monkeypatch.context() as patched:
            patched.setattr(record_file, "write_flushed", full)
            for _ in range(int(live(app).state.step.seconds)):
                clock.advance(1.5)
                await app._frame()
            assert live(app).state.paused
            assert "could not be saved" in _shown(app)
            assert isinstance(live(app).state.step, Work)
        assert live(app).state.record.sets_done == ()
        await pilot.press("space")
        await _until(pilot, lambda: "could not be saved" not in _shown(app))
        assert not live(app).state.paused


def _shown(app: SessionApp) -> str:
    return " ".join(" ".join(str(one.content) for one in app.query_one("#body").query(Static)).split())

"""Visits every screen of a session, each under its own name."""

from collections.abc import Awaitable, Callable
from pathlib import Path

from textual.pilot import Pilot

from coach.model import step_names
from coach.screens.client.session_app import SessionApp
from tests.clocks import FakeClock
from tests.journeys.walk import let_pass, live, session_app, walk

Look = Callable[[str, SessionApp, Pilot[None]], Awaitable[None]]
Size = tuple[int, int]
SIZES: tuple[Size, ...] = ((60, 20), (80, 24), (120, 40))
USUAL = SIZES[1]


async def each_screen(folder: Path, size: Size, look: Look) -> None:
    """A session with a step down, one that is interrupted, resumed and stopped by pain, and one without cues."""
    await _whole_session(folder / "tern", size, look)
    await _stopped_and_resumed(folder / "plover", size, look)
    await _without_cues(folder / "heron", size, look)


async def _whole_session(client: Path, size: Size, look: Look) -> None:
    clock = FakeClock()
    app = session_app(client, clock)

    async with app.run_test(size=size) as pilot:

        async def see(name: str, *keys: str, later_s: float = 0.0) -> None:
            for key in keys:
                await pilot.press(key)
            if later_s:
                await let_pass(pilot, app, clock, later_s)
            await pilot.pause()
            await look(name, app, pilot)

        await see("01-today")
        await see("02-before-you-begin", "enter")
        await see("03-pain-now", "enter")
        await see("04-signs", "0", "1")
        await see("05-signs-asked-back", "b", "b", "3", "1", "b")
        await see("05-signs-confirm", "1", "1")
        await see("05-keys", "n", "question_mark")
        await see("06-place", "enter", "n")
        await see("08-check", "enter")
        await see("07-arm", "y", "y", "y")
        await see("09-check-failed", "enter", "n")
        await walk(pilot, app, clock, {}, lambda state: state.step.name.startswith("teach."))
        await see("10-lesson", later_s=3.0)
        await walk(pilot, app, clock, {}, lambda state: state.step.name == step_names.REACH)
        await see("10-reach")
        await see("11-count-in", "enter", later_s=1.2)
        await see("12-out", later_s=20.0)
        await see("13-hold", later_s=3.0)
        await see("14-back", later_s=2.0)
        await see("15-relax", later_s=3.0)
        await see("16-paused", "space")
        await see("17-leave", "q")
        await see("18-trouble", "n", "p")
        await see("19-trouble-where", "2")
        await see("19-trouble-where-back", "2", "b")
        await see("19-trouble-pain", "2")
        await see("19-trouble-one-or-ten", "1")
        await see("19-trouble-within-limit", "enter")
        await pilot.press("enter")
        await let_pass(pilot, app, clock, 0.1)
        left = live(app).state.remaining_set
        assert left is not None
        await see("20-last-repetition", later_s=left.total_s - 6.4)
        await see("21-pain", later_s=7.0)
        await see("22-form-question", "2")
        await see("23-next-form-question", "2")
        await walk(pilot, app, clock, {}, lambda state: state.step.name.endswith("setup_again"))
        await see("24-less-load")
        await see("24-another-band", "enter")
        await see("25-rest", "y", "y", "y", later_s=17.0)
        await walk(pilot, app, clock, {}, lambda state: state.step.name.endswith("effort"))
        await see("26-effort")
        await see("27-two-more", "6")
        await see("28-end", "y")


async def set_screens(client: Path, size: Size, look: Look) -> None:
    """The screens up to the first set and in it: for languages with longer words."""
    clock = FakeClock()
    app = session_app(client, clock)
    async with app.run_test(size=size) as pilot:

        async def see(name: str, *keys: str, later_s: float = 0.0) -> None:
            await pilot.press(*keys)
            if later_s:
                await let_pass(pilot, app, clock, later_s)
            await pilot.pause()
            await look(name, app, pilot)

        await see("01-today")
        await walk(pilot, app, clock, {}, lambda state: state.step.name == step_names.PLACE)
        await see("06-place")
        await see("08-check", "enter")
        await see("07-arm", "y", "y", "y")
        await walk(pilot, app, clock, {}, lambda state: state.step.name == step_names.REACH)
        await see("12-out", "enter", later_s=21.2)
        await see("13-hold", later_s=3.0)
        await see("14-back", later_s=2.0)
        await see("15-relax", later_s=3.0)
        await see("16-paused", "space")
        await see("18-trouble", "p")
        await pilot.press("1", "5", "1", "enter", "enter")
        await let_pass(pilot, app, clock, 0.1)
        left = live(app).state.remaining_set
        assert left is not None
        await see("20-last-repetition", later_s=left.total_s - 6.4)
        await walk(pilot, app, clock, {}, lambda state: state.step.name.endswith("blade"))
        await see("22-form-question")


async def _stopped_and_resumed(client: Path, size: Size, look: Look) -> None:
    clock = FakeClock()
    app = session_app(client, clock)
    async with app.run_test(size=size) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_2.work")
        app.action_keep_and_close()
    clock.advance(300)
    app = session_app(client, clock)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await look("29-go-on", app, pilot)
        await pilot.press("y", "p", "1", "1", "8", "y")
        await pilot.pause()
        await look("30-stopped", app, pilot)
        await pilot.resize_terminal(50, 15)
        await pilot.pause()
        await look("31-too-small", app, pilot)


async def _without_cues(client: Path, size: Size, look: Look) -> None:
    """After many clean sets in a row a cue is only shown on request."""
    clock = FakeClock()
    app = session_app(client, clock)
    async with app.run_test(size=size) as pilot:

        async def see(name: str, *keys: str) -> None:
            await pilot.press(*keys)
            await pilot.pause()
            await look(name, app, pilot)

        await walk(pilot, app, clock, {"morning_after": 0}, lambda state: state.step.name == step_names.REACH)
        await see("32-own-set")
        await see("33-set-without-cue", "enter")
        await see("34-cue-asked-for", "c")
        await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_2.rest")
        await see("35-rest-without-cue")

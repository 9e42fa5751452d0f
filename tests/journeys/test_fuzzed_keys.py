"""Any keys at any time: no crash, always a way to stop, and every record can be read."""

import random
import shutil
from functools import cache
from pathlib import Path

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.content import Content
from coach.screens.client.key_bindings import LEAVE, active_bindings, binding_for
from coach.screens.client.session_app import SessionApp
from coach.screens.theme import THEMES
from coach.session.answer_keys import choices
from coach.session.rehearsal import clean_answer
from coach.session.runner import leave
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.live_session import LiveSession, NotAdmitted, open_session, start_session
from tests.clocks import FakeClock
from tests.journeys.storms import storms
from tests.journeys.walk import live, session_app

KEYS = [
    *"0123456789abcdefghijklmnopqrstuvwxyz",
    "enter",
    "space",
    "escape",
    "up",
    "down",
    "pagedown",
    "tab",
    "ctrl+c",
]
MANY, SOME = 10_000, 100


@cache
def content() -> Content:
    return load_content(content_folder(), "en")


def likely_keys(app: SessionApp) -> list[str]:
    """What the screen offers, a good day's key many times over, so that sessions come to their sets and their end."""
    if app._open_prompt is not None or app._live is None:
        return ["y", "n", "p"]
    state = app._live.state
    if state.chosen is not None:
        return ["y", *["n"] * 20, "b", "q"]
    keys = [command.key for command in active_bindings(state) if command is not LEAVE]
    keys += ["enter"] * 60 if "enter" in keys else []
    if state.asking is not None:
        return [*keys, *["b"] * 60, *(choice.key for choice in choices(state.asking, state.plan.content.signs))]
    if state.question is not None:
        answers = choices(state.question, state.plan.content.signs)
        good = clean_answer(state.question)
        keys += [choice.key for choice in answers]
        keys += [choice.key for choice in answers if choice.value == good] * 60
    return keys


def can_stop(session: LiveSession, clock: FakeClock) -> None:
    """The key to end is there and ends it; the pain key is there, or its question is, or what it said to confirm."""
    state = session.state
    if state.over:
        return
    assert binding_for("q", state) is LEAVE
    assert leave(state, clock()).over
    if state.chosen is None and state.asking is None:
        pain = binding_for("p", state)
        assert pain is not None
        assert pain.run(state, clock()).asking is not None


def some_time(chance: random.Random, session: LiveSession, clock: FakeClock) -> None:
    """Looks at the clock while a set or a rest runs, mostly to its end; once in a while after a gap."""
    while session.state.watch.since_s is not None and chance.random() < 0.98:
        clock.advance(600.0 if chance.random() < 0.002 else chance.choice([0.1, 1.5, 1.9]))
        session.tick()


def press_one(chance: random.Random, app: SessionApp, clock: FakeClock) -> None:
    """Some time perhaps, then one key, straight into the screen's own handler."""
    session = app._live
    if session is not None:
        some_time(chance, session, clock)
    if session is not None and session.state.over:
        return
    app._press(chance.choice(likely_keys(app) if chance.random() < 0.95 else KEYS))


@pytest.mark.parametrize(("seed", "client"), [(1, "tern"), (4, "tern"), (5, "plover")])
def test_thousands_of_random_keys(demo_profiles: Path, tmp_path: Path, seed: int, client: str) -> None:
    chance = random.Random(seed)
    left, ended, sessions, sets = MANY // 5, 0, 0, 0
    while left > 0:
        sessions += 1
        clock = FakeClock()
        folder = Path(shutil.copytree(demo_profiles / client, tmp_path / f"{sessions}" / client))
        for _ in range(3):  # what is left without an end is offered again
            app = SessionApp(content(), open_session(ClientStore.read(folder, content()), clock()), clock)
            if app._opening.plan.before.status == "review":
                break
            begin(app, clock)
            for _ in range(min(left, chance.choice([5, 40, 400]))):
                left -= 1
                try:
                    press_one(chance, app, clock)
                except NotAdmitted:  # a sign that was left unconfirmed counts where a new session is wanted
                    break
                if app._live is not None:
                    can_stop(app._live, clock)
                    if app._live.state.over:
                        ended += 1
                        break
            readable(folder, app)
            sets += len(app._live.state.record.sets_done) if app._live is not None else 0
            clock.advance(chance.choice([60.0, 90_000.0]))
    assert ended > 5
    assert sets > 5


def begin(app: SessionApp, clock: FakeClock) -> None:
    """As the app does when it comes on the screen."""
    for theme in THEMES.values():
        app.register_theme(theme)
    if app._opening.interrupted is not None:
        app._open_prompt = "resume"
    else:
        app._live = start_session(app._opening, clock)


def readable(folder: Path, app: SessionApp) -> None:
    """Everything on the disk can be read, and says what the session says."""
    kept = read_client_folder(folder).stored_records
    if app._live is not None:
        assert kept[-1].record == app._live.state.record


def test_storms_of_keys_close_nothing_that_was_not_confirmed(demo_profiles: Path) -> None:
    """Sixty here; ten thousand by `python -m tests.journeys.storms`. Programmes are closed, and all confirmed."""
    seen = storms(range(60), demo_profiles)
    assert seen["status: review"] > 5
    assert seen["taken_back"] > 30
    assert seen["sets begun"] > 15


async def test_random_keys_on_the_screens(demo_profiles: Path, tmp_path: Path) -> None:
    """The same with every screen drawn, in windows that change their size."""
    chance, pressed, sessions = random.Random(7), 0, 0
    while pressed < SOME:
        sessions += 1
        clock, folder = FakeClock(), Path(shutil.copytree(demo_profiles / "tern", tmp_path / f"{sessions}" / "tern"))
        app = session_app(folder, clock)
        async with app.run_test(size=(60, 20)) as pilot:
            while pressed < SOME and app.is_running and not live(app).state.over:
                pressed += 1
                some_time(chance, live(app), clock)
                await app._frame()
                if chance.random() < 0.05:
                    await pilot.resize_terminal(*chance.choice([(60, 20), (80, 24), (40, 10), (120, 40)]))
                await pilot.press(chance.choice(likely_keys(app) if chance.random() < 0.95 else [*"bpyt", "space"]))
                can_stop(live(app), clock)
        assert app.failed is None
        readable(folder, app)
    assert sessions > 1

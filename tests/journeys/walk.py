"""Goes through a session on its screens as a person does: a key where one is asked, time where time is due."""

from collections.abc import Callable, Mapping
from pathlib import Path

from textual.pilot import Pilot

from coach.model.answers_file import Answers
from coach.model.option_names import SignChoice, ThemeName
from coach.screens.client.session_app import SessionApp
from coach.session.answer_keys import choices
from coach.session.rehearsal import clean_answer, prepared_answer
from coach.session.script import Rest, Work
from coach.session.state import State
from coach.store.client_store import ClientStore
from coach.store.live_session import LiveSession, open_session
from tests.clocks import FakeClock

Given = Mapping[str, int | str]


def session_app(
    folder: Path, clock: FakeClock, theme: ThemeName | None = None, signs: SignChoice | None = None
) -> SessionApp:
    """The session of a client as the command starts it."""
    client = ClientStore.read(folder)
    return SessionApp(client.content, open_session(client, clock()), clock, theme=theme, signs=signs)


def live(app: SessionApp) -> LiveSession:
    """The session under way."""
    assert app._live is not None
    return app._live


def key_for(state: State, given: Given) -> str:
    """The key of the answer given for a step or its question, else of the clean answer."""
    question = state.question
    assert question is not None
    prepared = prepared_answer(question, state.plan, Answers.model_construct(answer=dict(given)))
    wanted = clean_answer(question) if prepared is None else prepared
    return next(one.key for one in choices(question, state.plan.content.signs) if one.value == wanted)


def keys_for(state: State, given: Given) -> tuple[str, ...]:
    """The keys of that answer: 1 is finished by Enter, and what ends the session is confirmed."""
    if state.chosen is not None:
        return ("y",)
    key = key_for(state, given)
    number = state.question is not None and state.question.scale == "zero_to_ten"
    return (key, "enter") if number and key == "1" else (key,)


async def walk(
    pilot: Pilot[None],
    app: SessionApp,
    clock: FakeClock,
    given: Given,
    until: Callable[[State], bool] = lambda state: state.over,
) -> None:
    """Answer, read and work until the session is where it should be."""
    for _ in range(200):
        state = live(app).state
        if until(state):
            return
        if state.question is not None:
            await pilot.press(*keys_for(state, given))
        elif isinstance(state.step, Work | Rest):
            await let_pass(pilot, app, clock, state.step.seconds)
        else:
            await pilot.press("enter")
    raise AssertionError("the session did not get there in 200 keys")


async def let_pass(pilot: Pilot[None], app: SessionApp, clock: FakeClock, seconds: float) -> None:
    """Let time pass in steps short enough not to be a gap, as a screen sees it."""
    left = seconds
    while left > 0:
        clock.advance(min(1.5, left))
        left -= 1.5
        live(app).tick()
    app.call_later(app._draw)
    await pilot.pause()

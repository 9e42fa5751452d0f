"""Sessions of a client with a programme, as they would have been done, in a copy of the client's folder."""

from datetime import datetime
from pathlib import Path

from coach.model.answers_file import Answers
from coach.session.rehearsal import apply_answers, rehearse_programme, seconds_to_answer
from coach.store.client_folder import records_folder
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session, start_session
from coach.store.programme.opening import todays_exercises
from coach.store.records import record_file
from tests.clocks import FakeClock


def play(folder: Path, at: datetime, answers: Answers | None = None) -> Path:
    """One session of the exercises that are due at this time; returns the path of its record."""
    plans = todays_exercises(ClientStore.read(folder), at).plans
    session = rehearse_programme(plans, answers or Answers(), at)
    path = record_file.create(records_folder(folder), session.model_copy(update={"entry": ()}))
    record_file.append(path, session.entry)
    ClientStore.read(folder).save(at)
    return path


def live_steps(folder: Path, at: datetime) -> list[tuple[str | None, str]]:
    """Every step of a clean session, second by second and with its record on the disk: the exercise and the step."""
    clock, answers = FakeClock(at), Answers()
    live = start_session(open_session(ClientStore.read(folder), clock()), clock)
    steps: list[tuple[str | None, str]] = []
    while not (live.state.over and not live.state.another_follows):
        _add(steps, live.state.plan.name, live.state.step.name)
        due = seconds_to_answer(live.state, answers)
        for _ in range(1 if due is None else int(due)):
            clock.advance(1.0)
            live.tick()
        if due is not None:
            live.act(lambda state, now: apply_answers(state, answers, now))
    _add(steps, live.state.plan.name, live.state.step.name)
    return steps


def _add(steps: list[tuple[str | None, str]], exercise: str | None, step: str) -> None:
    if not steps or steps[-1] != (exercise, step):
        steps.append((exercise, step))

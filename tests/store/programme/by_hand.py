"""A session of a programme done on the disk, with a clock that is moved by hand."""

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.programme.session_file import SessionFile
from coach.session.rehearsal import apply_answers, seconds_to_answer
from coach.session.script import Rest, Trial, Work
from coach.session.state import Instant, State
from coach.store.client_store import ClientStore
from coach.store.live_session import LiveSession, open_session, start_session
from coach.store.records import record_file

MONDAY = datetime.fromisoformat("2026-11-30T18:00:00+01:00")
_SHORT_S = 1.0  # below the gap after which a session is suspended


@cache
def content() -> Content:
    """The shipped content."""
    return load_content(content_folder(), "en")


class Clock:
    """A clock that stands still until it is moved."""

    def __init__(self, at: datetime = MONDAY) -> None:
        self.now = Instant(0.0, at)

    def __call__(self) -> Instant:
        """The time."""
        return self.now

    def move(self, seconds: float) -> None:
        """Let time pass."""
        self.now = Instant(self.now.s + seconds, self.now.at + timedelta(seconds=seconds))


def open_live(path: Path, clock: Clock, resume: bool = False) -> LiveSession:
    """Today's session, as the command opens it."""
    with ClientStore.locked(path, content()) as store:
        return start_session(open_session(store, clock()), clock, resume)


def play(
    live: LiveSession, clock: Clock, until: Callable[[State], bool], answers: Answers | None = None
) -> LiveSession:
    """Answer and wait until something is so; without `answers`, a clean session."""
    said = answers or Answers()
    while not until(live.state):
        state, wait_s = live.state, seconds_to_answer(live.state, said)
        timed = (
            isinstance(state.step, Work | Rest | Trial) and state.watch.since_s is not None and state.question is None
        )
        if timed and (wait_s is None or state.watch.elapsed_s(clock.now.s) < wait_s):
            clock.move(_SHORT_S)
            live.tick()
        else:
            live.act(lambda state, now: apply_answers(state, said, now))
    return live


def over(state: State) -> bool:
    """Whether the whole session is over."""
    return state.over and not state.another_follows


def exercise_over(number: int) -> Callable[[State], bool]:
    """Whether the exercise of this number, from 0, is over."""
    return lambda state: state.over and state.record.part == number


def in_exercise(number: int, step: str) -> Callable[[State], bool]:
    """Whether a step of the exercise of this number, from 0, is reached."""
    return lambda state: state.record.part == number and state.step.name == step


def sessions_of(path: Path) -> list[SessionFile]:
    """The sessions as the files hold them."""
    found = [record_file.parse_session(record_file.read_raw(file)).session for file in _files(path)]
    return [one for one in found if isinstance(one, SessionFile)]


def _files(path: Path) -> list[Path]:
    return sorted((path / "records").glob("*.toml"))

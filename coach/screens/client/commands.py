"""The keys of the session: one table of key, word and what it does. The answers have their keys in choices.py."""

from collections.abc import Callable
from dataclasses import dataclass

from coach.session.runner import Present, State, back, go_on, pause, stop_set, trouble
from coach.session.script import Rest, SetupAgain, Show, Work

MOST_SHOWN = 5


@dataclass(frozen=True)
class Command:
    """One key. `word` names it in the key words of the language; `fits` says when it is shown and works."""

    key: str
    word: str
    fits: Callable[[State], bool]
    run: Callable[[State, Present], State]


def _read(state: State) -> bool:
    return not state.over and state.question is None and (isinstance(state.step, Show | SetupAgain))


def _runs(state: State) -> bool:
    return not state.over and state.question is None and state.watch.since_s is not None


def _paused(state: State) -> bool:
    return not state.over and state.question is None and state.paused


def _in_set(state: State) -> bool:
    return not state.over and state.question is None and isinstance(state.step, Work)


def _resting(state: State) -> bool:
    return _runs(state) and isinstance(state.step, Rest)


def _asked(state: State) -> bool:
    return not state.over and state.question is not None


def _calm(state: State) -> bool:
    return not state.over and state.asking is None


COMMANDS: tuple[Command, ...] = (
    Command("enter", "go_on", _read, go_on),
    Command("enter", "resume", _paused, go_on),
    Command("enter", "skip_rest", _resting, go_on),
    Command("space", "pause", _runs, pause),
    Command("space", "resume", _paused, go_on),
    Command("p", "pain", _calm, trouble),
    Command("b", "back", _asked, back),
    Command("s", "stop_set", _in_set, stop_set),
)
LEAVE = Command("q", "leave", lambda state: not state.over, lambda state, _: state)
QUIT = Command("enter", "quit", lambda state: state.over, lambda state, _: state)


def fitting(state: State) -> tuple[Command, ...]:
    """The commands that work now, in the order in which they are shown; one key has one meaning at a time."""
    shown = [command for command in (*COMMANDS, LEAVE, QUIT) if command.fits(state)]
    words = [command.word for command in shown]
    return tuple(command for number, command in enumerate(shown) if command.word not in words[:number])


def command_for(key: str, state: State) -> Command | None:
    """What a key does now; None where it does nothing."""
    return next((command for command in (*COMMANDS, LEAVE, QUIT) if command.key == key and command.fits(state)), None)

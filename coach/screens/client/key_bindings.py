"""The keys of the session: one table of key, word and what it does. The answers have their keys in choices.py."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from coach.model import step_names
from coach.session.answer_keys import choice_of
from coach.session.form_feedback import feedback
from coach.session.interruptions import fewer_sets, other_band, skip_set, trouble
from coach.session.runner import answer, back, go_on, pause, show_cue, stop_set
from coach.session.script import Rest, SetupAgain, Show, Work
from coach.session.state import Present, State

MOST_SHOWN = 5
_ABOUT_PAIN = (step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN)


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


def _may_skip(state: State) -> bool:
    ready = state.step.name == step_names.REACH or isinstance(state.step, SetupAgain)
    return (_read(state) and ready) or (isinstance(state.step, Rest) and (_runs(state) or _paused(state)))


def _other_band_fits(state: State) -> bool:
    before = state.step.name in (step_names.TODAY, step_names.PLACE, step_names.ARM)
    return _read(state) and before and bool(state.plan.at_hand(state.record.rungs_now.step))


def _may_do_fewer(state: State) -> bool:
    return _read(state) and state.step.name == step_names.TODAY and state.record.dose.sets > 1


def _cue_kept_back(state: State) -> bool:
    """Before or in a set whose cue is shown only when asked for, and was not."""
    waits = state.step.name == step_names.REACH or isinstance(state.step, Rest) or _runs(state)
    if not waits or state.over or state.question is not None or state.cue_asked_for == state.set_number:
        return False
    return not feedback(state.plan, state.record).given


def _calm(state: State) -> bool:
    """Everywhere but in the questions that this key itself brings."""
    return not state.over and (state.asking is None or state.asking.question not in _ABOUT_PAIN)


PAIN = Command("p", "pain", _calm, trouble)
COMMANDS: tuple[Command, ...] = (
    Command("enter", "go_on", _read, go_on),
    Command("enter", "resume", _paused, go_on),
    Command("enter", "skip_rest", _resting, go_on),
    Command("space", "pause", _runs, pause),
    Command("space", "resume", _paused, go_on),
    PAIN,
    Command("b", "back", _asked, back),
    Command("s", "stop_set", _in_set, stop_set),
    Command("k", "skip_set", _may_skip, skip_set),
    Command("o", "other_band", _other_band_fits, other_band),
    Command("f", "fewer_sets", _may_do_fewer, fewer_sets),
)
CUE = Command("c", "cue", _cue_kept_back, show_cue)
THEME = Command("t", "theme", lambda state: _read(state) or _resting(state), lambda state, _: state)
LEAVE = Command("q", "leave", lambda state: not state.over, lambda state, _: state)
QUIT = Command("enter", "quit", lambda state: state.over, lambda state, _: state)

EVERY: tuple[Command, ...] = (*COMMANDS, CUE, THEME, LEAVE, QUIT)


def fitting(state: State) -> tuple[Command, ...]:
    """The commands that work now, in the order in which they are shown; one key has one meaning at a time."""
    shown = [command for command in EVERY if command.fits(state)]
    words = [command.word for command in shown]
    once = tuple(command for number, command in enumerate(shown) if command.word not in words[:number])
    for dispensable in (THEME, CUE):  # a page whose cue is kept back names the key itself
        if len(once) > MOST_SHOWN:
            once = tuple(command for command in once if command is not dispensable)
    return once


def command_for(key: str, state: State) -> Command | None:
    """What a key does now: it answers the question asked, or else is a command. None where it does nothing."""
    if state.question is not None and not state.over:
        chosen = choice_of(key, state.question, state.plan.content.signs)
        if chosen is not None:
            return Command(key, "answer", _asked, partial(_answered, chosen.value))
    return next((command for command in EVERY if command.key == key and command.fits(state)), None)


def _answered(value: int | str, state: State, now: Present) -> State:
    return answer(state, value, now)

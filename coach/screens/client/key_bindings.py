"""The keys of the session: which key does what, and when. The keys of answers are in session/answer_keys.py."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Literal

from msgspec import Struct

from coach.model import step_names
from coach.session.answer_keys import choice_of, meant_key
from coach.session.interruptions import (
    HOW_TO_TELL,
    available_bands,
    change_band,
    change_tell_by,
    fewer_sets,
    report_trouble,
    skip_set,
    tell_by,
)
from coach.session.next_exercise import finish_day, next_exercise
from coach.session.phrases import plan_line
from coach.session.runner import (
    back,
    choose,
    confirm,
    go_on,
    may_go_back,
    pause,
    practise,
    show_cue,
    stop_set,
    take_back,
)
from coach.session.script import Rest, SetupAgain, Show, Teach, Trial, Work
from coach.session.state import Instant, State

MAX_BINDINGS_SHOWN = 5
# These act at once: they answer nothing, and a stop must never wait. The arrows repeat while they are held.
_AT_ONCE = ("pain", "pause", "stop_set", "voice", "leave", "help")
_ARROWS = ("left", "right")
_CONFIRMATION: Mapping[str, Callable[[State, Instant], State]] = {"y": confirm, "n": take_back}
_ABOUT_PAIN = (step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN)


class KeyBinding(Struct, frozen=True):
    """One key. `word` is its entry in the messages of the language; `fits` tells when it is shown and works."""

    key: str
    word: str
    fits: Callable[[State], bool]
    run: Callable[[State, Instant], State]


def _free(state: State) -> bool:
    """Nothing is asked and nothing is to be confirmed."""
    return not state.over and state.question is None and state.chosen is None


def _read(state: State) -> bool:
    return _free(state) and (isinstance(state.step, Show | Teach | Trial | SetupAgain))


def _starts_a_set(state: State) -> bool:
    """Whether the count-in of a set begins as this page is left."""
    to_time = isinstance(state.step, Trial) and state.record.own_tempo is None
    follows = state.script.steps[state.at_step + 1 : state.at_step + 2]
    return _read(state) and not to_time and any(isinstance(step, Work) for step in follows)


def _runs(state: State) -> bool:
    return _free(state) and state.watch.since_s is not None and isinstance(state.step, Work | Rest)


def _paused(state: State) -> bool:
    return _free(state) and state.paused


def _in_set(state: State) -> bool:
    return _free(state) and isinstance(state.step, Work)


def _resting(state: State) -> bool:
    return _runs(state) and isinstance(state.step, Rest)


def _asked(state: State) -> bool:
    return not state.over and state.question is not None and state.chosen is None


def _to_confirm(state: State) -> bool:
    return not state.over and state.chosen is not None


def _may_skip(state: State) -> bool:
    ready = (state.step.name == step_names.REACH and not state.plan.practice) or isinstance(state.step, SetupAgain)
    return (_read(state) and ready) or (isinstance(state.step, Rest) and (_runs(state) or _paused(state)))


def _other_band_fits(state: State) -> bool:
    before = state.step.name in (step_names.TODAY, step_names.PLACE, step_names.ARM)
    return _read(state) and before and bool(available_bands(state))


def _may_do_fewer(state: State) -> bool:
    return _read(state) and state.step.name == step_names.TODAY and state.record.dose.sets > 1


def _may_practise(state: State) -> bool:
    return (
        _read(state) and isinstance(state.step, Show) and state.step.name == step_names.REACH and not state.practising
    )


def _may_change_tell_by(state: State) -> bool:
    """Where form is shown or asked about, and before the first set."""
    asked = state.asking is None and state.question is not None and state.question.scale == "how_often"
    before = state.step.name == step_names.REACH and not state.plan.practice and not state.practising
    return (asked and _asked(state)) or (_read(state) and (before or isinstance(state.step, Teach)))


def may_choose_tell_by(state: State) -> bool:
    """Whether the keys of a lesson choose how form will be told: at the first one of a client."""
    return isinstance(state.step, Teach) and _read(state) and state.tell_by is None


def _cue_kept_back(state: State) -> bool:
    """Before or in a set whose cue is shown only on request and has not been requested."""
    waits = (
        (state.step.name == step_names.REACH and not state.plan.practice)
        or isinstance(state.step, Rest)
        or _runs(state)
    )
    if not waits or not _free(state) or state.cue_asked_for == state.set_number:
        return False
    from coach.session.form_feedback import feedback

    return not feedback(state.plan, state.record).shown


def _calm(state: State) -> bool:
    """Everywhere except in the questions that this key itself leads to, and in a confirmation."""
    asked_by_it = state.asking is not None and state.asking.question in _ABOUT_PAIN
    return not state.over and state.chosen is None and not asked_by_it


def _another_follows(state: State) -> bool:
    return state.another_follows


def _may_ask_why(state: State) -> bool:
    return state.over and not state.plan.practice


def at_the_end(state: State) -> bool:
    """Whether the session is over and no other exercise follows."""
    return state.over and not state.another_follows


def plan_is_asked(state: State) -> bool:
    """Whether the end asks if the client's own plan still holds: one key keeps it."""
    return own_plan_asked(state) and plan_line(state.plan.training, state.plan.content) != ""


def own_plan_asked(state: State) -> bool:
    """Whether the end of a session asks about the client's own plan: there is none, or it is old."""
    ended = state.record.ended
    if (
        ended is None
        or state.another_follows
        or ended.how == "stopped"
        or ended.decision.status != "active"
        or _aside(state)
    ):
        return False
    from coach.overview.coming_days import own_plan_is_due

    return own_plan_is_due(state.plan.training, ended.at.date(), state.plan.limits)


def _may_plan(state: State) -> bool:
    """Whether the client may plan the next sessions: at the end, unless the therapist has to look first."""
    ended = state.record.ended
    waits = ended is not None and ended.decision.status == "review"
    return at_the_end(state) and not _aside(state) and not waits


def _aside(state: State) -> bool:
    """Whether nothing is kept of this session."""
    return state.plan.rehearsal or state.plan.practice


PAIN = KeyBinding("p", "pain", _calm, report_trouble)
PRACTISE = KeyBinding("w", "practise", _may_practise, practise)
SESSION_BINDINGS: tuple[KeyBinding, ...] = (
    KeyBinding("enter", "start", _starts_a_set, go_on),
    KeyBinding("enter", "go_on", lambda state: _read(state) and not _starts_a_set(state), go_on),
    KeyBinding("enter", "resume", _paused, go_on),
    KeyBinding("enter", "skip_rest", _resting, go_on),
    KeyBinding("enter", "next_exercise", _another_follows, next_exercise),
    KeyBinding("q", "finish", _another_follows, finish_day),
    KeyBinding("space", "pause", _runs, pause),
    KeyBinding("space", "resume", _paused, go_on),
    PAIN,
    KeyBinding("s", "stop_set", _in_set, stop_set),
    KeyBinding("k", "skip_set", _may_skip, skip_set),
    PRACTISE,
    KeyBinding("o", "other_band", _other_band_fits, change_band),
    KeyBinding("f", "fewer_sets", _may_do_fewer, fewer_sets),
)
BACK = KeyBinding("b", "back", may_go_back, back)
CUE = KeyBinding("c", "cue", _cue_kept_back, show_cue)
THEME = KeyBinding("t", "theme", lambda state: _read(state) or _resting(state), lambda state, _: state)
TELL_BY_KEY = KeyBinding("m", "tell_by", _may_change_tell_by, change_tell_by)
HEAR = KeyBinding("h", "hear", lambda _: True, lambda state, _: state)
VOICE = KeyBinding("v", "voice", lambda state: not state.over, lambda state, _: state)
LEAVE = KeyBinding("q", "leave", lambda state: not state.over, lambda state, _: state)
PLAN = KeyBinding("w", "plan", _may_plan, lambda state, _: state)
KEEP_PLAN = KeyBinding("enter", "keep_plan", plan_is_asked, lambda state, _: state)
WHY = KeyBinding("r", "why", _may_ask_why, lambda state, _: state)
QUIT = KeyBinding(
    "enter", "quit", lambda state: at_the_end(state) and not plan_is_asked(state), lambda state, _: state
)

# These work where they fit and have no room below the page; ? names them.
_NOT_SHOWN = (VOICE, HEAR, TELL_BY_KEY)
# What each key that closes the last page says about the client's own plan.
PlanAnswer = Literal["", "write", "keep"]
CLOSING: Mapping[str, PlanAnswer] = {PLAN.word: "write", KEEP_PLAN.word: "keep", QUIT.word: ""}
HELP = KeyBinding("question_mark", "help", lambda _: True, lambda state, _: state)

ALL_BINDINGS: tuple[KeyBinding, ...] = (
    *SESSION_BINDINGS,
    BACK,
    CUE,
    TELL_BY_KEY,
    THEME,
    VOICE,
    HEAR,
    LEAVE,
    PLAN,
    WHY,
    KEEP_PLAN,
    QUIT,
)


def active_bindings(state: State) -> tuple[KeyBinding, ...]:
    """The bindings to show in this state, in order; a key never has two meanings at once. ? names the others too."""
    shown = [binding for binding in ALL_BINDINGS if binding.fits(state) and binding not in _NOT_SHOWN]
    words = [binding.word for binding in shown]
    once = tuple(binding for number, binding in enumerate(shown) if binding.word not in words[:number])
    for dispensable in (THEME, CUE, BACK):  # all of them work, and ? names them
        if len(once) > MAX_BINDINGS_SHOWN:
            once = tuple(binding for binding in once if binding is not dispensable)
    return once


def acts_at_once(key: str, state: State) -> bool:
    """Whether a key acts however early it comes: it answers nothing, stops, or is an arrow that is held."""
    binding = binding_for(key, state)
    return key in _ARROWS or (binding is not None and binding.word in _AT_ONCE)


def binding_for(key: str, state: State) -> KeyBinding | None:
    """What a key does in this state: answer the open question, or else a binding; None if it does nothing."""
    key = meant_key(key, state.plan.content)
    if key in (HELP.key, "?"):
        return HELP
    if _to_confirm(state) and key in _CONFIRMATION:
        return KeyBinding(key, "answer", _to_confirm, _CONFIRMATION[key])
    if state.question is not None and _asked(state):
        chosen = choice_of(key, state.question, state.plan.content.signs)
        if chosen is not None:
            return KeyBinding(key, "answer", _asked, partial(_chosen, chosen.value))
    if may_choose_tell_by(state):
        way = choice_of(key, HOW_TO_TELL, state.plan.content.signs)
        if way is not None:
            return KeyBinding(key, "answer", _read, partial(_told_by, way.value))
    return next((binding for binding in ALL_BINDINGS if binding.key == key and binding.fits(state)), None)


def _told_by(way: int | str, state: State, now: Instant) -> State:
    """Say how form will be told with the first lesson, which then goes on."""
    return go_on(tell_by(state, way, now), now)


def _chosen(value: int | str, state: State, now: Instant) -> State:
    return choose(state, value, now)

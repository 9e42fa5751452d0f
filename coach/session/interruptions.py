"""Questions that a key brings up during a step: pain or trouble, skipping a set, another band, fewer sets."""

from typing import get_args

from coach.model import step_names
from coach.model.load_step import LoadStep
from coach.model.option_names import TELL_BY
from coach.model.record import Answered, BandAtHand, SkipReason, TakenBack
from coach.progression.pain_reports import PAIN_TROUBLES, PRESSED, left_open
from coach.session.plan import script_of
from coach.session.script import Ask, Show, Work
from coach.session.state import Instant, State
from coach.session.transitions import forward, suspend, with_entries

SKIP_REASONS: tuple[SkipReason, ...] = get_args(SkipReason)
HOW_TO_TELL = Ask(step_names.TELL_BY, "tell_by", "listed", 0, options=TELL_BY)


def report_trouble(state: State, now: Instant) -> State:
    """The pain key: suspend the step and ask what is wrong. That it was pressed is in the record at once."""
    if state.over or state.chosen is not None:
        return state
    asked = _about_pain(state, state.set_number)[0]
    state = suspend(state, now.s, now)
    if state.asking == asked:
        return state
    pressed = Answered(at=now.at, step=step_names.in_set(state.set_number, step_names.PAIN_KEY), value=PRESSED)
    return with_entries(state, pressed)._replace(asking=asked)


def without_report(state: State, now: Instant) -> State:
    """The state after going back from the first question of the pain key: nothing is wrong."""
    if state.asking is None:
        return state
    step, asked = step_names.in_set(state.asking.set_number, step_names.PAIN_KEY), state.asking.question
    state = state._replace(asking=None, seen_s=now.s)
    if asked != step_names.TROUBLE or state.record.answer(step) is None:
        return state
    return with_entries(state, TakenBack(at=now.at, step=step))


def skip_set(state: State, now: Instant) -> State:
    """Suspend the step and ask why the next set is skipped; unchanged within a set, which `stop_set` ends."""
    if state.over or state.chosen is not None or state.question is not None or isinstance(state.step, Work):
        return state
    number = state.set_number
    ask = Ask(step_names.in_set(number, step_names.SKIP), step_names.SKIP, "listed", 0, number, options=SKIP_REASONS)
    return suspend(state, now.s, now)._replace(asking=ask)


def change_band(state: State, now: Instant) -> State:
    """Ask which other band is at hand; unchanged if none has a load step for today."""
    options = tuple(available_bands(state))
    if state.over or state.chosen is not None or state.question is not None or not options:
        return state
    ask = Ask(step_names.OTHER_BAND, "other_band", "listed", 0, options=options)
    return state._replace(asking=ask, seen_s=now.s)


def available_bands(state: State) -> dict[str, LoadStep]:
    """The bands that can be chosen instead of the one in use, by grade, each with its load step.

    The programme's own band comes with exactly the programme's load step, so that a mistake can be undone. Every
    other band is compared with that load step and not with the one in use, so that the order of choices does not
    matter.
    """
    plan, own, in_use = state.plan, state.record.programme_rungs.step, state.record.current_rungs.step
    found = {own.grade: own, **plan.substitute_steps(own)}
    return {
        band.name: found[band.name]
        for band in plan.profile.bands
        if band.name in found and found[band.name] != in_use
    }


def fewer_sets(state: State, now: Instant) -> State:
    """Ask how many sets the client has time for."""
    if state.over or state.chosen is not None or state.question is not None:
        return state
    options = tuple(range(1, state.record.dose.sets + 1))
    ask = Ask(step_names.SETS_TODAY, "sets_today", "listed", 0, options=options)
    return state._replace(asking=ask, seen_s=now.s)


def change_tell_by(state: State, now: Instant) -> State:
    """Ask how the client will tell what the form was; it can be asked over a form question, which then waits."""
    form = state.question is None or (state.asking is None and state.question.of_form)
    if state.over or state.chosen is not None or not form:
        return state
    return state._replace(asking=HOW_TO_TELL, seen_s=now.s)


def tell_by(state: State, way: int | str, now: Instant) -> State:
    """Answer it on a page that asks it by the way."""
    return with_entries(state, Answered(at=now.at, step=step_names.TELL_BY, value=way))


def with_pain_asked(state: State) -> State:
    """The state with the question that a report with the pain key was left before, or unchanged without one."""
    missing = left_open(state.record.entry)[:1]
    asks = (ask for number in range(1, state.record.dose.sets + 1) for ask in _about_pain(state, number))
    asking = next((ask for ask in asks if ask.name in missing), None)
    return state if asking is None else state._replace(asking=asking)


def previous_question(state: State, asked: Ask) -> Ask | None:
    """The question before this one of the pain key; None before its first question, and for other keys."""
    asks = _about_pain(state, asked.set_number)
    names = [ask.name for ask in asks]
    return asks[names.index(asked.name) - 1] if asked.name in names[1:] else None


def apply_interruption(state: State, asked: Ask, value: int | str, now: Instant) -> State:
    """Apply the answer to a question that a key brought up."""
    match asked.question:
        case step_names.SKIP:
            return _after_skip(state._replace(asking=None), now)
        case "other_band":
            return _after_other_band(state, str(value), now)
        case HOW_TO_TELL.question:
            return state._replace(asking=None)
        case "sets_today":
            return state._replace(asking=None, script=script_of(state.plan, state.record))
        case _:
            return _after_trouble(state, asked, value)


def _after_skip(state: State, now: Instant) -> State:
    """Go to the next step, or stay at the page before the first set if another set can follow at once.

    The client has nothing to recover from, and can skip that set as well.
    """
    following = state.script.steps[state.script.due_from(state.at_step + 1, state.record)]
    return state if isinstance(state.step, Show) and isinstance(following, Work) else forward(state, now)


def _after_other_band(state: State, grade: str, now: Instant) -> State:
    """Use that band from now on, at its own floor mark; the setup starts again, with its checks."""
    step, own = available_bands(state)[grade], state.record.programme_rungs
    chosen = BandAtHand(at=now.at, rungs=own if step == own.step else state.plan.rungs(step))
    state = with_entries(state, chosen)._replace(asking=None)
    names = [step.name for step in state.script.steps]
    return state._replace(at_step=min(state.at_step, names.index(step_names.PLACE)))


def _after_trouble(state: State, asked: Ask, value: int | str) -> State:
    """The next question about a pain; after the last one, or after any other trouble, back to the step."""
    asks = _about_pain(state, asked.set_number)
    following = asks[[ask.name for ask in asks].index(asked.name) + 1 :]
    done = not following or (asked.question == step_names.TROUBLE and value not in PAIN_TROUBLES)
    return state._replace(asking=None if done else following[0])


def _about_pain(state: State, number: int) -> tuple[Ask, ...]:
    """The questions of the pain key: what is wrong, and for a pain where and how much.

    Where comes before how much, because the intensity may end the session and pain in some regions is a warning sign.
    """
    what, where, how_much = step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN
    return (
        Ask(step_names.in_set(number, what), what, "trouble", 0, number),
        Ask(step_names.in_set(number, where), where, "listed", 0, number, options=tuple(state.plan.content.regions)),
        Ask(step_names.in_set(number, how_much), how_much, "zero_to_ten", 0, number),
    )

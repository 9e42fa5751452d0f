"""Questions that a key puts in front of a step: pain or trouble, a set skipped, another band, fewer sets."""

from typing import get_args

from coach.model import step_names
from coach.model.load_step import Rungs
from coach.model.record import BandAtHand, SkipReason
from coach.progression.facts import PAIN_TROUBLES
from coach.session.plan import script_of
from coach.session.script import Ask, Show, Work
from coach.session.state import Present, State
from coach.session.transitions import forward, stand_still, written

SKIP_REASONS: tuple[SkipReason, ...] = get_args(SkipReason)


def trouble(state: State, now: Present) -> State:
    """The pain key: stand still and ask what it is."""
    if state.over:
        return state
    return stand_still(state, now.s, now)._replace(asking=_about_pain(state, state.set_number)[0])


def skip_set(state: State, now: Present) -> State:
    """Stand still and ask why the set to come is not done; within a set stop_set is the word."""
    if state.over or state.question is not None or isinstance(state.step, Work):
        return state
    number = state.set_number
    ask = Ask(step_names.in_set(number, step_names.SKIP), step_names.SKIP, "listed", 0, number, options=SKIP_REASONS)
    return stand_still(state, now.s, now)._replace(asking=ask)


def other_band(state: State, now: Present) -> State:
    """Ask which other band is at hand; unchanged where none of them has a load step for today."""
    options = tuple(bands_to_choose(state))
    if state.over or state.question is not None or not options:
        return state
    ask = Ask(step_names.OTHER_BAND, "other_band", "listed", 0, options=options)
    return state._replace(asking=ask, seen_s=now.s)


def bands_to_choose(state: State) -> dict[str, Rungs]:
    """The bands that can be chosen instead of the one in use, by grade, each with its load step.

    The programme's own band comes with exactly the programme's load step, so that a mistake can be undone. Every
    other band is compared with that load step and not with the one in use, so that the order of choices does not
    matter.
    """
    plan, own, in_use = state.plan, state.record.rungs_kept, state.record.rungs_now
    found = {own.step.grade: own}
    found |= {grade: plan.rungs(step) for grade, step in plan.at_hand(own.step).items()}
    return {
        band.name: found[band.name]
        for band in plan.profile.bands
        if band.name in found and found[band.name].step != in_use.step
    }


def fewer_sets(state: State, now: Present) -> State:
    """Ask how many sets there is time for."""
    if state.over or state.question is not None:
        return state
    options = tuple(range(1, state.record.dose.sets + 1))
    ask = Ask(step_names.SETS_TODAY, "sets_today", "listed", 0, options=options)
    return state._replace(asking=ask, seen_s=now.s)


def asked_before(state: State, asked: Ask) -> Ask | None:
    """The question before one that the pain key brought; None before the first, and before those of other keys."""
    asks = _about_pain(state, asked.set_number)
    names = [ask.name for ask in asks]
    return asks[names.index(asked.name) - 1] if asked.name in names[1:] else None


def after_asking(state: State, asked: Ask, value: int | str, now: Present) -> State:
    """What an answer does that a key asked for out of turn."""
    match asked.question:
        case step_names.SKIP:
            return _after_skip(state._replace(asking=None), now)
        case "other_band":
            return _after_other_band(state, str(value), now)
        case "sets_today":
            return state._replace(asking=None, script=script_of(state.plan, state.record))
        case _:
            return _after_trouble(state, asked, value)


def _after_skip(state: State, now: Present) -> State:
    """The next step; before the first set of a run, the same page again where another set can follow.

    The client is ready for that set and has nothing to rest from, and can skip it as well.
    """
    following = state.script.steps[state.script.due_from(state.at_step + 1, state.record)]
    return state if isinstance(state.step, Show) and isinstance(following, Work) else forward(state, now)


def _after_other_band(state: State, grade: str, now: Present) -> State:
    """That band from here on, at its own mark; a setup begun is gone through anew, with its checks."""
    chosen = BandAtHand(at=now.at, rungs=bands_to_choose(state)[grade])
    state = written(state, chosen)._replace(asking=None)
    names = [step.name for step in state.script.steps]
    return state._replace(at_step=min(state.at_step, names.index(step_names.PLACE)))


def _after_trouble(state: State, asked: Ask, value: int | str) -> State:
    """A pain is asked about further, one question after the other; then it goes back to the step."""
    asks = _about_pain(state, asked.set_number)
    following = asks[[ask.name for ask in asks].index(asked.name) + 1 :]
    done = not following or (asked.question == step_names.TROUBLE and value not in PAIN_TROUBLES)
    return state._replace(asking=None if done else following[0])


def _about_pain(state: State, number: int) -> tuple[Ask, ...]:
    """What the pain key asks: what it is, and for a pain where and how much. Where comes first, because how much
    may end the session, and pain in one region is a warning sign."""
    what, where, how_much = step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN
    return (
        Ask(step_names.in_set(number, what), what, "trouble", 0, number),
        Ask(step_names.in_set(number, where), where, "listed", 0, number, options=tuple(state.plan.content.regions)),
        Ask(step_names.in_set(number, how_much), how_much, "zero_to_ten", 0, number),
    )

"""A session as a row of stops: everything that the client sees, each with its time, by the very runner."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.session.plan import Plan
from coach.session.rehearsal import due_s, first_state, states
from coach.session.script import Work
from coach.session.state import State


@dataclass(frozen=True)
class Stop:
    """What is seen at one moment. `at_s` is since the session began; `place` is told from every other by its name."""

    at_s: float
    state: State
    place: str


def stops(plan: Plan, answers: Answers, at: datetime) -> tuple[Stop, ...]:
    """The session with these answers, to its end or to where they lead nowhere.

    A set has several stops: its phases once, and its last repetition. ValueError names an answer that a question
    does not take.
    """
    state = first_state(plan, at)
    found = list(_of_state(state, answers))
    for following in states(state, answers):
        place = _place(following)
        if place == found[-1].place:  # a check answered no is asked again, with what to mend; and so on for ever
            found.append(Stop(following.seen_s, following, f"{place}.again"))
            break
        found += _of_state(following, answers)
    return tuple(found)


def part_of(stop: Stop) -> str:
    """The part of the session that a stop belongs to: what is read, the check-in, the checks, each set."""
    return step_names.group_of(stop.place)


def _place(state: State) -> str:
    if state.over:
        return "end"
    return state.question.name if state.question is not None else state.step.name


def _of_state(state: State, answers: Answers) -> Iterator[Stop]:
    place = _place(state)
    if state.over or state.question is not None or not isinstance(state.step, Work):
        yield Stop(state.seen_s, state, place)
        return
    ends_s = due_s(state, answers)
    for phase, after_s in (("count_in", state.step.time.count_in_s / 2), *state.step.time.seen()):
        if ends_s is None or after_s < ends_s:
            yield Stop(state.seen_s + after_s, state, f"{place}.{phase}")

"""The timeline of a session: everything that the client sees, with its time, as the runner produces it."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from msgspec import Struct

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, programme_states, rehearsed_states, seconds_to_answer
from coach.session.script import Work
from coach.session.state import State


class TimelineEntry(Struct, frozen=True):
    """What is seen at one moment: seconds since the start of the session, the state, and a name."""

    at_s: float
    state: State
    name: str

    @property
    def place(self) -> tuple[int, str]:
        """Which exercise of the session it belongs to, from 0, and its name there."""
        return self.state.record.part, self.name


def timeline_entries(plans: Sequence[Plan], answers: Answers, at: datetime) -> tuple[TimelineEntry, ...]:
    """The timeline of a session of these exercises, to its end or to the check that the answers never pass.

    A set has several entries: each phase once, and its last repetition. Raises ValueError if a question does not
    take its answer.
    """
    states = programme_states(plans, answers, at) if len(plans) > 1 else _of_one(plans[0], answers, at)
    found = list(_of_state(next(states), answers))
    for state in states:
        name = _name_of(state)
        if (state.record.part, name) == found[-1].place:  # the check would be asked again and again
            found.append(TimelineEntry(state.seen_s, state, f"{name}.again"))
            break
        found += _of_state(state, answers)
    return tuple(found)


def _of_one(plan: Plan, answers: Answers, at: datetime) -> Iterator[State]:
    state = first_state(plan, at)
    yield state
    yield from rehearsed_states(state, answers)


def session_part(entry: TimelineEntry) -> tuple[int, str]:
    """The part of the session that an entry belongs to: an exercise, and there a page, the checks, or a set."""
    return entry.state.record.part, step_names.group_of(entry.name)


def _name_of(state: State) -> str:
    if state.over:
        return "end"
    return state.question.name if state.question is not None else state.step.name


def _of_state(state: State, answers: Answers) -> Iterator[TimelineEntry]:
    name = _name_of(state)
    if state.over or state.question is not None or not isinstance(state.step, Work):
        yield TimelineEntry(state.seen_s, state, name)
        return
    ends_s = seconds_to_answer(state, answers)
    for phase, after_s in (("count_in", state.step.time.count_in_s / 2), *state.step.time.shown_moments()):
        if ends_s is None or after_s < ends_s:
            yield TimelineEntry(state.seen_s + after_s, state, f"{name}.{phase}")

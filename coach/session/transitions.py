"""The course of a session: coming to a step, standing still, and what a set and the session come to."""

from datetime import datetime

from coach.model import step_names
from coach.model.record import Ended, Entry, How, Record, SetDone, SetEnd
from coach.progression.state_machine import decide
from coach.session.plan import Plan
from coach.session.script import Rest, Work
from coach.session.state import Present, State
from coach.session.stopwatch import Stopwatch


def written(state: State, *entries: Entry) -> State:
    """With more entries in its record."""
    return state._replace(record=state.record.with_entry(*entries))


def forward(state: State, now: Present) -> State:
    """To the next step that is due."""
    return arrive(state, state.at_step + 1, now)


def arrive(state: State, at_step: int, now: Present) -> State:
    """Come to a step, or the first after it that is due: start its time, or close the record at the last one."""
    at_step = state.script.due_from(at_step, state.record)
    step = state.script.steps[at_step]
    watch = Stopwatch(since_s=now.s) if isinstance(step, Work | Rest) else Stopwatch()
    state = state._replace(at_step=at_step, watch=watch, seen_s=now.s, whole=0, under_load_s=0.0, paused=False)
    return end_session(state, "finished", now) if step.name == step_names.CLOSING else state


def stand_still(state: State, at_s: float, now: Present) -> State:
    """Stand still since `at_s`; within a set the whole repetitions are kept and a new count-in follows."""
    if not isinstance(state.step, Work | Rest):
        return state._replace(seen_s=now.s)
    if isinstance(state.step, Rest):
        return state._replace(watch=state.watch.stopped(at_s), paused=True, seen_s=now.s)
    state = _banked(state, at_s)
    return state._replace(watch=Stopwatch(), paused=True, seen_s=now.s)


def set_over(state: State, end: SetEnd, now: Present) -> State:
    """The set under way is written down, and the next step begins."""
    return forward(_with_set(state, end, now), now)


def _with_set(state: State, end: SetEnd, now: Present) -> State:
    """The set under way written down as far as it went."""
    work = state.step
    if not isinstance(work, Work):
        return state
    state = _banked(state, now.s)
    under_load_s, number = round(state.under_load_s, 2), work.number
    done = SetDone(at=now.at, number=number, repetitions=state.whole, under_load_s=under_load_s, end=end)
    return written(state, done)


def _banked(state: State, at_s: float) -> State:
    """The whole repetitions and the seconds under load of the set so far."""
    moment = state.moment(at_s)
    if moment is None or not isinstance(state.step, Work):
        return state
    time, new = state.step.time, moment.whole - state.whole
    broken_s = [start_s for phase, start_s, _ in time.phases if phase == moment.phase != "relax"]
    part_s = broken_s[0] + moment.gone_s if broken_s else 0.0
    under_load_s = state.under_load_s + new * time.under_load_s + part_s
    return state._replace(whole=moment.whole, under_load_s=under_load_s)


def end_session(state: State, how: How, now: Present) -> State:
    """Close the record: a set under way counts as far as it went, then the decision."""
    moment = state.moment(now.s)
    if moment is not None and (moment.whole or state.under_load_s):
        state = _with_set(state, "halted" if how == "stopped" else "stopped", now)
    return written(state, closing(state.plan, state.record, how, now.at))


def closing(plan: Plan, record: Record, how: How, at: datetime) -> Ended:
    """The last entry of a record, with the decision that follows from all before it."""
    return Ended(at=at, how=how, decision=decide(plan.before, record, plan.book))

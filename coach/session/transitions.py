"""Transitions between states: entering and suspending a step, finishing a set, ending the session."""

from datetime import datetime

from coach.model import step_names
from coach.model.programme.session_file import SessionFile, ends_day
from coach.model.record import Ended, Entry, LoadChanged, Record, SessionEnd, SetDone, SetEnd
from coach.progression.state_machine import ImmediateAction, decide
from coach.session.plan import Plan
from coach.session.script import Rest, Script, Show, Teach, Trial, Work
from coach.session.state import Instant, State, Stopwatch


def begin(
    plan: Plan,
    script: Script,
    record: Record,
    now: Instant,
    session: SessionFile | None = None,
    coming: tuple[Plan, ...] = (),
) -> State:
    """The state at the first step of a script, for a new record or one that is continued.

    Of a programme, `session` holds everything that is in the record, and `coming` are the exercises that may follow.
    """
    inherited = 0 if session is None else len(record.entry)
    state = State(plan, script, record, 0, Stopwatch(), now.s, session=session, coming=coming, inherited=inherited)
    state = enter_step(state, 0, now)
    return state._replace(chosen=record.unconfirmed)


def with_entries(state: State, *entries: Entry) -> State:
    """The state with more entries in its record; of several exercises each entry says to which it belongs."""
    if state.several:
        entries = tuple(one.model_copy(update={"exercise": state.record.name}) for one in entries)
    return state._replace(record=state.record.with_entry(*entries))


def forward(state: State, now: Instant) -> State:
    """Go to the next step that is due."""
    return enter_step(state, state.at_step + 1, now)


def enter_step(state: State, at_step: int, now: Instant) -> State:
    """Enter a step, or the first due step after it: start its time, or close the record at the last step."""
    at_step = state.script.due_from(at_step, state.record)
    step = state.script.steps[at_step]
    watch = Stopwatch(since_s=now.s) if isinstance(step, Work | Rest | Teach) else Stopwatch()
    state = state._replace(at_step=at_step, watch=watch, seen_s=now.s, whole=0, under_load_s=0.0, paused=False)
    return end_session(state, "finished", now) if step.name == step_names.CLOSING else state


def suspend(state: State, at_s: float, now: Instant) -> State:
    """Suspend the step since `at_s`. Within a set, completed repetitions count and a new count-in follows.

    Repetitions without the band that are led or timed start again.
    """
    if isinstance(state.step, Trial | Show):
        return state._replace(watch=Stopwatch(), seen_s=now.s)
    if not isinstance(state.step, Work | Rest):
        return state._replace(seen_s=now.s)
    if isinstance(state.step, Rest):
        return state._replace(watch=state.watch.stopped(at_s), paused=True, seen_s=now.s)
    state = _banked(state, at_s)
    return state._replace(watch=Stopwatch(), paused=True, seen_s=now.s)


def finish_set(state: State, end: SetEnd, now: Instant) -> State:
    """Record the current set and go to the next step."""
    return forward(_with_set(state, end, now), now)


def _with_set(state: State, end: SetEnd, now: Instant) -> State:
    """The state with the current set recorded as far as it was done."""
    work = state.step
    if not isinstance(work, Work):
        return state
    state = _banked(state, now.s)
    under_load_s, number = round(state.under_load_s, 2), work.number
    done = SetDone(at=now.at, number=number, repetitions=state.whole, under_load_s=under_load_s, end=end)
    return with_entries(state, done)


def _banked(state: State, at_s: float) -> State:
    """The state with the completed repetitions and seconds under load of the set so far."""
    moment = state.moment(at_s)
    if moment is None or not isinstance(state.step, Work):
        return state
    time, new = state.step.time, moment.whole - state.whole
    broken_s = [start_s for phase, start_s, _ in time.phases if phase == moment.phase != "relax"]
    part_s = broken_s[0] + moment.elapsed_s if broken_s else 0.0
    under_load_s = state.under_load_s + new * time.under_load_s + part_s
    return state._replace(whole=moment.whole, under_load_s=under_load_s)


def end_session(state: State, how: SessionEnd, now: Instant) -> State:
    """Record the current set as far as it was done, and close the record with the decision."""
    moment = state.moment(now.s)
    if moment is not None and (moment.whole or state.under_load_s):
        state = _with_set(state, "halted" if how == "stopped" else "stopped", now)
    ended = closing_entry(state.plan, state.record, how, now.at)
    state = with_entries(state, ended)
    return without_the_rest(state, now) if state.coming and ends_day(state.record, ended) else state


def without_the_rest(state: State, now: Instant) -> State:
    """The state with nothing to follow; one that was begun in turn with this one is closed as far as it went."""
    session = state.file_session
    for plan in (one for one in state.coming if one.name in session.begun):
        ended = closing_entry(plan, session.record(session.part(plan.name or "")), "left", now.at)
        session = session.with_entry(ended.model_copy(update={"exercise": plan.name}))
    return state._replace(session=session, inherited=len(state.record.entry), coming=())


def closing_entry(plan: Plan, record: Record, how: SessionEnd, at: datetime) -> Ended:
    """The closing entry of a record, with the decision that follows from the entries before it.

    What was chosen and neither confirmed nor taken back counts, and stops the session, as a pain left open does.
    """
    decision = decide(plan.before, record, plan.book)
    return Ended(at=at, how="stopped" if decision.move == "stop" else how, decision=decision)


def with_less_load(state: State, verdict: ImmediateAction | None, now: Instant) -> State:
    """Lower the load from the next set on, if the rules ask for it and there is a lower step."""
    if verdict is None or verdict.load is None:
        return state._replace(verdict=verdict)
    plan, load = state.plan, verdict.load
    if verdict.share is not None:
        load = plan.at_most(load, state.record.rungs.step.mean_nm * verdict.share)
    changed = LoadChanged(at=now.at, rule=verdict.rule.name, rungs=plan.rungs(load))
    return with_entries(state, changed)._replace(verdict=verdict)

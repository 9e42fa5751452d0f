"""From one exercise of a programme to the next one of the same session. Pure: time is passed in."""

from collections.abc import Sequence
from datetime import datetime
from typing import Literal

from msgspec.structs import replace

from coach.model import step_names
from coach.model.programme.session_file import SessionClosed, SessionFile, SessionPart
from coach.model.programme.written import Written
from coach.model.record import Record
from coach.progression.state_machine import immediate_action
from coach.session.lessons.cautions import cautions_before
from coach.session.plan import Plan, open_record, script_of
from coach.session.script import Ask, Rest, Script, Step, remaining_script, sets_left, turn_script
from coach.session.state import Instant, State
from coach.session.transitions import begin, end_session, with_less_load, without_the_rest


def open_session_file(
    plans: Sequence[Plan], at: datetime, written: Written | None, date_confirmed: bool = False
) -> SessionFile:
    """A new session of these exercises in their order: what is asked of the client today, without entries."""
    records, in_line = [open_record(plan, at) for plan in plans], _in_line(plans)
    names = (None, *(plan.name for plan in plans))
    parts = tuple(_part(*each, in_line) for each in zip(plans, records, names, strict=False))
    first = records[0]
    return SessionFile(
        format=2,
        started=at,
        written=written,
        confirmed_on=at.date() if date_confirmed else None,
        activities=first.activities,
        night_pain_known=first.night_pain_known,
        exercises=parts,
    )


def _part(plan: Plan, record: Record, before: str | None, in_line: Sequence[str]) -> SessionPart:
    shared = (key for key in SessionPart.model_fields if key in Record.model_fields and key not in ("name", "side"))
    values = {key: getattr(record, key) for key in shared}
    name = plan.name or record.exercise
    ahead = tuple(in_line[: in_line.index(name)]) if name in in_line else tuple(in_line)
    in_turn: Literal[True] | None = True if before is not None and plan.alternates_with == before else None
    return SessionPart(name=name, side=plan.profile.side, waits_for=ahead, alternates=in_turn, **values)


def _in_line(plans: Sequence[Plan]) -> list[str]:
    """The exercises whose load may rise today, the one that has waited longest first."""
    waiting = [(_waited(plan), plan.name or plan.before.exercise) for plan in plans]
    return [name for waited, name in sorted(waiting, key=lambda one: -one[0]) if waited >= 0]


def _waited(plan: Plan) -> int:
    """Sessions since the load of an exercise might have risen; below 0 where it may not rise today."""
    wanted = round(plan.limits["sessions_in_a_row"]) * 2**plan.before.falls
    rises = plan.rungs(plan.step).next_step is not None
    return plan.before.ready_sessions + 1 - wanted if rises else -1


def next_exercise(state: State, now: Instant) -> State:
    """Go on with the next exercise of the session, after a rest; unchanged where none follows.

    The answers of the check-in hold for it, and what the rules ask for because of them is done.
    """
    if not state.another_follows or state.session is None:
        return state
    plan, *coming = state.coming
    session = state.file_session
    if plan.name in session.begun:
        return _in_turn(session, plan, tuple(coming), now)
    return begin_exercise(session, plan, tuple(coming), now, rest_s=float(state.record.dose.rest_s))


def take_turn(state: State, now: Instant) -> State:
    """Where a rest between two sets begins: on to the exercise done in turn with this one; else unchanged."""
    between_sets = isinstance(state.step, Rest) and state.step.name != step_names.BETWEEN
    if not between_sets or state.over or state.paused or state.asking is not None or not state.coming:
        return state
    plan, *coming = state.coming
    session, here = state.file_session, state.record.name
    if here is None or plan.name is None or not session.are_in_turn(here, plan.name):
        return state
    if not sets_left(session.record(session.part(plan.name))):
        return state
    following = (state.plan, *coming)
    if plan.name in session.begun:
        return _in_turn(session, plan, following, now)
    return begin_exercise(session, plan, following, now)


def _in_turn(session: SessionFile, plan: Plan, coming: tuple[Plan, ...], now: Instant) -> State:
    """The state of an exercise that was begun and whose turn it is: its setup, and its next set."""
    record = session.record(session.part(plan.name or ""))
    if not sets_left(record):
        return begin_exercise(session, plan, coming, now)
    rested_s = (now.at - record.sets_done[-1].at).total_seconds()
    script = turn_script(script_of(plan, record), record, record.dose.rest_s - rested_s, plan.limits["reading_s"])
    return begin(plan, script, record, now, session, coming)


def begin_exercise(
    session: SessionFile, plan: Plan, coming: tuple[Plan, ...], now: Instant, rest_s: float = 0.0
) -> State:
    """The state at the beginning of an exercise of a session that holds what was done before it."""
    record, script = _record_and_script(session, plan, rest_s)
    state = begin(plan, script, record, now, session, coming)
    action = immediate_action(plan.before, record, plan.book, "check_in")
    if action is None:
        return state
    return end_session(state, "stopped", now) if action.stops else with_less_load(state, action, now)


def coming_seconds(state: State) -> float:
    """How long the exercises that may follow will take, without the check-in."""
    rest_s = float(state.record.dose.rest_s)
    return sum(coming_script(state.file_session, plan, rest_s)[1].seconds for plan in state.coming)


def coming_script(session: SessionFile, plan: Plan, rest_s: float) -> tuple[Record, Script]:
    """The record and the script of an exercise that may follow, whether or not the check-in was answered by then."""
    record, script = _record_and_script(session, plan, rest_s)
    steps = (step for step in script.steps if not (isinstance(step, Ask) and step.group == step_names.CHECK_IN))
    return record, replace(script, steps=tuple(steps))


def _record_and_script(session: SessionFile, plan: Plan, rest_s: float) -> tuple[Record, Script]:
    record = session.record(session.part(plan.name or plan.before.exercise))
    adds_cautions = bool(cautions_before(plan, session, record.part))
    return record, _following_script(script_of(plan, record), record, adds_cautions, rest_s)


def _following_script(script: Script, record: Record, with_cautions: bool, rest_s: float) -> Script:
    """The script of an exercise after another one: a rest, what it is, and everything but the check-in."""
    rest: list[Step] = [Rest(step_names.BETWEEN, 1, rest_s)] if rest_s else []
    pages = script.steps[: 2 if with_cautions else 1]
    return replace(script, steps=(*rest, *pages, *remaining_script(script, record).steps))


def finish_day(state: State, now: Instant) -> State:
    """Leave out the exercises that were not begun; unchanged where none follows."""
    if not state.another_follows or state.session is None:
        return state
    state = without_the_rest(state, now)
    return state._replace(session=state.file_session.with_entry(SessionClosed(at=now.at)))

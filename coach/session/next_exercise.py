"""From one exercise of a programme to the next one of the same session. Pure: time is passed in."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from coach.model import step_names
from coach.model.programme.session_file import SessionClosed, SessionFile, SessionPart
from coach.model.programme.written import Written
from coach.model.record import Record
from coach.progression.state_machine import immediate_action
from coach.session.lessons.cautions import cautions_before
from coach.session.plan import Plan, open_record, script_of
from coach.session.runner import begin, with_less_load
from coach.session.script import Ask, Rest, Script, Step, remaining_script
from coach.session.state import Instant, State
from coach.session.transitions import end_session


def open_session_file(
    plans: Sequence[Plan], at: datetime, written: Written | None, date_confirmed: bool = False
) -> SessionFile:
    """A new session of these exercises in their order: what is asked of the client today, without entries."""
    records, in_line = [open_record(plan, at) for plan in plans], _in_line(plans)
    parts = tuple(_part(plan, record, in_line) for plan, record in zip(plans, records, strict=True))
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


def _part(plan: Plan, record: Record, in_line: Sequence[str]) -> SessionPart:
    shared = (key for key in SessionPart.model_fields if key not in ("name", "side", "waits_for"))
    values = {key: getattr(record, key) for key in shared}
    name = plan.name or record.exercise
    ahead = tuple(in_line[: in_line.index(name)]) if name in in_line else tuple(in_line)
    return SessionPart(name=name, side=plan.profile.side, waits_for=ahead, **values)


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
    return begin_exercise(state.file_session, plan, tuple(coming), now, rest_s=float(state.record.dose.rest_s))


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
    scripts = (_record_and_script(state.file_session, plan, rest_s)[1] for plan in state.coming)
    return sum(
        step.seconds
        for script in scripts
        for _, step in script.scheduled_steps()
        if not (isinstance(step, Ask) and step.group == step_names.CHECK_IN)
    )


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
    session = state.file_session.with_entry(SessionClosed(at=now.at))
    return state._replace(session=session, inherited=len(state.record.entry), coming=())

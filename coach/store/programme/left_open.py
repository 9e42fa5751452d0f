"""Whether a session that was left open for long is still the one that a new start would give."""

from datetime import UTC, datetime

from msgspec.structs import replace

from coach.model import step_names
from coach.model.load_step import LoadStep
from coach.model.record import Record
from coach.progression.state_machine import immediate_action
from coach.session.plan import Plan, open_record, script_of
from coach.session.script import Ask
from coach.session.state import State
from coach.store.client_store import ClientStore
from coach.store.programme.opening import as_at_home, due_exercises
from coach.toml.diagnostic import FileFault

# The start of two records that are compared for everything else.
_SAME = datetime.min.replace(tzinfo=UTC)


def why_not_gone_on(store: ClientStore, state: State, now: datetime) -> str | None:
    """Why a session may not go on that was open for longer than one that was interrupted may be continued.

    None where a new start would give the same exercises, loads and questions; empty where it would give others; else
    why it would give none, and what to do. The client's files are read again, as they may have changed meanwhile.
    """
    left = (*(() if state.over else (state.plan,)), *state.coming)
    try:
        found = replace(ClientStore.read(store.path, store.content), date_confirmed=store.date_confirmed)
        due = {one.folder.name for one in due_exercises(found, now)}
        for plan in left:
            one = found if plan.name is None else found.for_exercise(plan.name)
            admission = one.admission(now, one.progress)  # as after this session, ended where it is
            if not admission.may_start or admission.plan is None:
                return admission.sentence
            own = plan is state.plan
            if plan.name not in due or not _is_same(one, plan, admission.plan, state, now, own):
                return ""
    except (FileFault, KeyError) as fault:  # KeyError: the exercise was taken out of the programme
        return str(fault) if isinstance(fault, FileFault) else ""
    return None


def _is_same(one: ClientStore, plan: Plan, after: Plan, state: State, now: datetime, own: bool) -> bool:
    """Whether an exercise would be the same today; `after` is its plan as after this session, ended where it is."""
    started, used = state.record.started, state.record.programme_rungs.step if own else plan.step
    admitted = one.admission(now, one.progress_before_open_record).plan
    if admitted is None or any(signed.at >= started for signed in one.folder.signed):
        return False
    today = as_at_home(one, admitted)
    load = load_of_the_day(after, now)
    same_load = load in (plan.step, used) and load.mean_nm >= used.mean_nm
    same_gap = step_names.GAP in _asked(plan, started)[1] or step_names.GAP not in _asked(after, now)[1]
    return same_load and same_gap and _asked(today, now) == _asked(plan, started)


def load_of_the_day(plan: Plan, now: datetime) -> LoadStep:
    """The load that a session started now begins with, before the client has answered anything."""
    record = open_record(plan, now)
    action = immediate_action(plan.before, record, plan.book, "check_in")
    if action is None or action.load is None:
        return plan.step
    return action.load if action.share is None else plan.at_most(action.load, plan.step.mean_nm * action.share)


def _asked(plan: Plan, at: datetime) -> tuple[Record, tuple[str, ...]]:
    """What is asked of the client in a session that begins then: dose, limits and load, check-in and checks.

    Which faults are shown and asked about is left out: they take turns, and none of them makes a session unsafe.
    """
    record = open_record(plan, at)
    asks = [step for step in script_of(plan, record).steps if isinstance(step, Ask)]
    names = tuple(one.name for one in asks if one.group in (step_names.CHECK_IN, step_names.CHECK))
    return record.model_copy(update={"started": _SAME, "form": ()}), names

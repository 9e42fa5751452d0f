"""What a session starts from, and which exercises of a programme are done today."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from msgspec import Struct
from msgspec.structs import replace

from coach.model.base import Name
from coach.model.message_format import fill
from coach.model.option_names import InstructionKind
from coach.model.programme.due_days import DueDays, due_days, due_on, own_days
from coach.model.programme.session_file import SessionClosed, SessionFile
from coach.model.record import Record
from coach.session.admission.admit import Admission
from coach.session.phrases import exercise_line
from coach.session.plan import Plan, plan_session
from coach.session.runner import stopped_by
from coach.store.arrivals.arrivals import not_told, said_to_client
from coach.store.client_store import ClientStore
from coach.store.home_settings import settings_in_use
from coach.store.plan_file import read_plan
from coach.store.programme.days_trained import days_trained
from coach.store.records.record_file import StoredRecord


class Opening(Struct, frozen=True):
    """What a session starts from: the client, today's plan, and an interrupted session that may be continued.

    Of a programme, `coming` are the exercises after the first, `session` is the interrupted one, and `left_out` says
    why an exercise that is due is not done, by its name. `closed` is a session that was interrupted and may not be
    continued: it was closed as far as it went.
    """

    store: ClientStore
    plan: Plan
    interrupted: StoredRecord | None
    coming: tuple[Plan, ...] = ()
    session: SessionFile | None = None
    left_out: tuple[tuple[str, str], ...] = ()
    closed: Record | SessionFile | None = None


class TodaysExercises(Struct, frozen=True):
    """The plans of the exercises that may be done now, in the programme's order, and why others may not."""

    plans: tuple[Plan, ...]
    left_out: tuple[tuple[str, str], ...]


def admission_of_programme(store: ClientStore, now: datetime) -> Admission:
    """Whether a session of any exercise may start now; where none may, why the first may not."""
    each = [one.admission(now, one.progress_before_open_record) for one in due_exercises(store, now)]
    return next((one for one in each if one.may_start), each[0])


def todays_exercises(store: ClientStore, now: datetime) -> TodaysExercises:
    """The exercises of the programme that are due and may be done now."""
    plans, left_out = list[Plan](), list[tuple[str, str]]()
    for one in due_exercises(store, now):
        admission = one.admission(now, one.progress_before_open_record)
        if admission.may_start and admission.plan is not None:
            plans.append(as_at_home(one, admission.plan))
        else:
            left_out.append((one.folder.name or one.prescription.exercise, admission.sentence))
    return TodaysExercises(tuple(plans), tuple(left_out))


def left_out_lines(opening: Opening) -> tuple[str, ...]:
    """What the client is told of exercises that are due and may not be done today."""
    store, lines = opening.store, list[str]()
    for name, why in opening.left_out:
        one = store.for_exercise(name)
        what = exercise_line(one.prescription.exercise, one.profile.side, one.content)
        lines.append(fill(one.content.messages.client.programme.not_today, {"what": what, "why": why}))
    return tuple(lines)


def arrived_lines(store: ClientStore) -> tuple[str, ...]:
    """What the client is told of what came from the therapist since the last session, in one sentence."""
    came = not_told(store.path, (one.session for one in store.folder.stored_sessions))
    messages = store.content.messages.client.exchange
    what = said_to_client(came, messages, _kinds_that_wait(store) if came else frozenset())
    return (fill(messages.arrived, {"what": what}),) if what else ()


def _kinds_that_wait(store: ClientStore) -> frozenset[InstructionKind]:
    """The kinds of instruction of which the newest does not count yet; the first page says so of them."""
    pending = [waits for one in store.exercises for waits in one.progress.pending]
    newest = {one.what: one.at for one in sorted(store.folder.signed, key=lambda one: one.at)}
    return frozenset(waits.what for waits in pending if waits.at >= newest.get(waits.what, waits.at))


def as_at_home(store: ClientStore, plan: Plan) -> Plan:
    """A plan with what the client said and chose at home, and with the exercise that it is done in turn with."""
    programme, name = store.folder.prescribed.programme, store.folder.name
    return replace(
        plan,
        training=read_plan(store.path, store.profile),
        trained_on=days_trained(store.folder),
        due=due_days_of([store], store.folder.prescribed.names),
        tell_by=settings_in_use(store.path).tell_by,
        both_sides=programme is not None and programme.on_both_sides(store.profile.side),
        alternates_with=programme.alternates_with(name) if programme is not None and name is not None else None,
        measures=store.prescription.measured_holds or bool(store.folder.measured_files.contents),
    )


def interrupted_programme(store: ClientStore, now: datetime) -> Opening | None:
    """The newest session, if it may be continued: recent, open, stopped by no rule, and nothing was signed since."""
    left = store.folder.newest_session
    if left is None or not isinstance(left.session, SessionFile) or not left.session.is_open:
        return None
    session = left.session
    plans = _last_first(tuple(_plans_left(store, session, now)), session)
    if not plans:
        return None
    record = session.record(session.part(plans[0].name or ""))
    minutes = (now - session.last_at).total_seconds() / 60  # a session of several exercises is long
    recent = 0 <= minutes <= plans[0].limits["resume_within_min"]
    unchanged = all(one.at < session.last_at for one in store.folder.signed)
    same = plans[0].before.exercise_position == record.exercise_position
    if not (recent and unchanged and same) or stopped_by(plans[0], record) is not None:
        return None
    first = StoredRecord(left.path, record, left.torn_end)
    return Opening(store.for_exercise(plans[0].name), plans[0], first, plans[1:], session)


def _last_first(plans: tuple[Plan, ...], session: SessionFile) -> tuple[Plan, ...]:
    """The plans with the exercise that was interrupted first: of two done in turn it may be the second."""
    entries = (one for one in reversed(session.entry) if not isinstance(one, SessionClosed))
    last = next((one.exercise for one in entries if one.exercise), None)
    return tuple(sorted(plans, key=lambda plan: plan.name != last))


def _plans_left(store: ClientStore, session: SessionFile, now: datetime) -> Iterator[Plan]:
    """The plans of the exercises of a session that were not ended."""
    ended = session.ended
    for part in session.exercises:
        if part.name in ended or part.name not in store.folder.prescribed.names:
            continue
        one = store.for_exercise(part.name)
        admission = one.admission(now, one.progress_before_open_record)
        if admission.may_start and admission.plan is not None:
            yield as_at_home(one, admission.plan)


def due_exercises(store: ClientStore, now: datetime) -> tuple[ClientStore, ...]:
    """The exercises that are due today and were not done today; all of today's where all of them were done.

    Where none has this weekday, every exercise is due: the client has come to train.
    """
    programme, every = store.folder.prescribed.programme, store.exercises
    if programme is None:
        return every
    due = due_on(programme, now.date())
    of_today = tuple(one for one in every if one.folder.name in due)
    left = tuple(one for one in of_today if not _done_today(one, now))
    return left or of_today


def due_days_of(stores: Sequence[ClientStore], names: Sequence[Name | None] | None = None) -> DueDays:
    """The days on which these exercises of a client are due; with `names` those of that name in the programme."""
    prescribed = stores[0].folder.prescribed
    named = [one.folder.name for one in stores] if names is None else names
    return due_days((prescribed.of(one).dose.days_a_week, own_days(prescribed.programme, one)) for one in named)


def _done_today(store: ClientStore, now: datetime) -> bool:
    last = store.progress_before_open_record.last_session
    return last is not None and last.date() == now.date()


def open_rehearsal(store: ClientStore, speed: float) -> Opening:
    """Today's session `speed` times as fast, with nothing saved. Raises NoSession as for a session."""
    from coach.session.rehearsal import rehearsal_plan

    each = ((one, plan_session(one.profile, one.prescription, one.content, one.progress)) for one in store.exercises)
    plans = [rehearsal_plan(as_at_home(one, plan), speed) for one, plan in each]
    return Opening(store, plans[0], None, tuple(plans[1:]))


def open_practice(store: ClientStore) -> Opening:
    """The movement alone, without band and record. Raises NoSession as for a session."""
    plan = plan_session(store.profile, store.prescription, store.content, store.progress)
    return Opening(store, replace(plan, practice=True), None)

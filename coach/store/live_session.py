"""A session in progress: every key goes through the runner, and its entries are on the disk before they are shown."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from coach.model.record import SessionEnd
from coach.session.carried_over import carried_over
from coach.session.plan import Plan, open_record, plan_session, script_of
from coach.session.rehearsal import rehearsal_plan
from coach.session.runner import begin, pause, stopped_by, tick
from coach.session.script import remaining_script
from coach.session.state import Instant, State
from coach.session.transitions import closing_entry
from coach.store import record_file
from coach.store.client_folder import records_folder
from coach.store.client_store import ClientStore
from coach.store.clock import Clock
from coach.store.plan_file import read_plan
from coach.store.record_file import RecordAppender, StoredRecord
from coach.toml.diagnostic import error_reason

Key = Callable[[State, Instant], State]


class SaveFailed(Exception):
    """Something could not be written; the session is as it was before."""


@contextmanager
def _save_failures(path: Path) -> Iterator[None]:
    """Raise SaveFailed, with the path and the reason, for an OSError."""
    try:
        yield
    except OSError as error:
        raise SaveFailed(f"{path} could not be written: {error_reason(error)}") from error


@dataclass(frozen=True)
class Opening:
    """What a session starts from: the client, today's plan, and an interrupted session that may be continued."""

    store: ClientStore
    plan: Plan
    interrupted: StoredRecord | None


class LiveSession:
    """One session and its record. The state changes only after its new entries are on the disk.

    A rehearsal has no record, and nothing of it is saved.
    """

    def __init__(self, store: ClientStore, state: State, record_path: Path | None, clock: Clock) -> None:
        self.state = state
        self._store = store
        self._appender = RecordAppender(record_path) if record_path is not None else None
        self._clock = clock

    @property
    def now_s(self) -> float:
        """Seconds of the session's clock."""
        return self._clock().s

    def act(self, key: Key) -> State:
        """Let time pass up to now, then do what the key does. Raises SaveFailed."""
        now = self._clock()
        self._let_pass(now)
        self._save(key(self.state, now))
        return self.state

    def tick(self) -> State:
        """Let time pass up to now.

        Raises SaveFailed where what time has brought cannot be written. The session is then paused where it was, so
        that no set goes on of which nothing can be saved.
        """
        self._let_pass(self._clock())
        return self.state

    def _let_pass(self, now: Instant) -> None:
        before = self.state
        try:
            self._save(tick(before, now))
        except SaveFailed:
            self.state = pause(before, Instant(before.seen_s, now.at))
            raise

    def _save(self, state: State) -> None:
        if self._appender is None:
            self.state = state
            return
        new = state.record.entry[len(self.state.record.entry) :]
        try:
            with _save_failures(self._appender.path):
                self._appender.append(new)
        except SaveFailed:
            # What to do about a sign is shown even where nothing can be saved; confirmed, it is written as an answer.
            self.state = self.state._replace(chosen=state.chosen)
            raise
        self.state = state
        if new and state.over:
            with suppress(OSError):  # derived: the records hold everything, and the next start writes it
                self._store.save_ended(self._appender.path, state.record, state.plan.before)


def open_session(store: ClientStore, now: Instant) -> Opening:
    """Today's plan, with the interrupted session if there is one that may be continued.

    An interrupted session that may not be continued is closed as far as it went. Raises SaveFailed, and NoSession
    where no band at hand gives a load.
    """
    plan = _plan(store)
    left = store.folder.open_record
    if left is None or _may_continue(plan, left, now):
        return Opening(store, plan, left)
    return close_open_record(store, now)


def open_rehearsal(store: ClientStore, speed: float) -> Opening:
    """Today's session `speed` times as fast, with nothing saved. Raises NoSession as for a session."""
    plan = plan_session(store.profile, store.prescription, store.content, store.progress)
    plan = replace(plan, training=read_plan(store.path, store.profile))
    return Opening(store, rehearsal_plan(plan, speed), None)


def open_practice(store: ClientStore) -> Opening:
    """The movement alone, without band and record. Raises NoSession as for a session."""
    plan = plan_session(store.profile, store.prescription, store.content, store.progress)
    return Opening(store, replace(plan, practice=True), None)


def _may_continue(plan: Plan, left: StoredRecord, now: Instant) -> bool:
    """Whether an interrupted session is recent, of today's position and stopped by no rule.

    Nor may anything have been signed since: under a later instruction it would be another session.
    """
    minutes = (now.at - left.record.started).total_seconds() / 60
    same = plan.before.exercise_position == left.record.exercise_position
    recent = 0 <= minutes <= plan.limits["resume_within_min"]
    unchanged = all(one.at < left.record.last_at for one in plan.prescription.sign_offs)
    return same and recent and unchanged and stopped_by(plan, left.record) is None


def _plan(store: ClientStore) -> Plan:
    plan = plan_session(store.profile, store.prescription, store.content, store.progress_before_open_record)
    return replace(plan, training=read_plan(store.path, store.profile))


def close_open_record(store: ClientStore, now: Instant) -> Opening:
    """Close a record that was left open, with the decision on what it holds; the plan after it. Raises SaveFailed."""
    left = store.folder.open_record
    if left is None:
        return Opening(store, _plan(store), None)
    plan = _plan(store)
    how: SessionEnd = "left" if stopped_by(plan, left.record) is None else "stopped"
    ended = closing_entry(plan, left.record, how, now.at)
    with _save_failures(left.path):
        store.move_aside_if_it_differs(now.at)
        record_file.append(left.path, (ended,))
        store.save_ended(left.path, left.record.with_entry(ended), plan.before)
    closed = ClientStore.read(store.path, store.content, repair=True)
    return Opening(closed, _plan(closed), None)


def start_session(opening: Opening, clock: Clock, resume: bool = False) -> LiveSession:
    """Start a new session, after closing an interrupted one; with `resume`, continue that one. Raises SaveFailed."""
    left = opening.interrupted
    if left is None:
        return _start(opening, clock)
    if resume:
        return _resume(opening, left, clock)
    return _start(close_open_record(opening.store, clock()), clock)


def _start(opening: Opening, clock: Clock) -> LiveSession:
    """A new session with a new record on the disk; a rehearsal has none."""
    store, plan, now = opening.store, opening.plan, clock()
    record = open_record(plan, now.at)
    if plan.rehearsal or plan.practice:
        return LiveSession(store, begin(plan, script_of(plan, record), record, now), None, clock)
    with _save_failures(store.path):
        store.save(now.at)
        path = record_file.create(records_folder(store.path), record)
        chosen = carried_over(store.folder.newest.record if store.folder.newest else None, plan.content, now.at)
        if chosen is not None:
            record = record.with_entry(chosen)
            record_file.append(path, record.entry)
    return LiveSession(store, begin(plan, script_of(plan, record), record, now), path, clock)


def _resume(opening: Opening, left: StoredRecord, clock: Clock) -> LiveSession:
    """An interrupted session continues in its own record."""
    script = remaining_script(script_of(opening.plan, left.record), left.record)
    return LiveSession(opening.store, begin(opening.plan, script, left.record, clock()), left.path, clock)

"""A session in progress: every key goes through the runner, and its entries are on the disk before they are shown.

There is one exception. What the client must know or do at once is shown also where it cannot be saved.
"""

from collections.abc import Callable
from contextlib import suppress
from functools import cached_property
from pathlib import Path

from msgspec.structs import replace

from coach.model import step_names
from coach.model.content_entries import LimitName
from coach.model.programme.session_file import SessionClosed, SessionFile
from coach.model.record import Answered, Record
from coach.session.admission.carried_over import carried_over
from coach.session.admission.stop_advice import told_after_a_stop
from coach.session.interruptions import report_trouble, with_pain_asked
from coach.session.next_exercise import begin_exercise, finish_day, open_session_file
from coach.session.plan import Plan, open_record, script_of
from coach.session.runner import ask_again, leave, pause, stopped_by, tick
from coach.session.script import remaining_script
from coach.session.state import Instant, State
from coach.session.transitions import begin
from coach.store.client_folder import records_folder
from coach.store.client_store import ClientStore
from coach.store.clock import Clock, SessionClock
from coach.store.closing import SaveFailed as SaveFailed
from coach.store.closing import close_open_record, plan_now, read_again, save_failures
from coach.store.home_settings import keep_choice
from coach.store.programme.opening import Opening as Opening
from coach.store.programme.opening import (
    arrived_lines,
    interrupted_programme,
    left_out_lines,
    todays_exercises,
)
from coach.store.programme.this_computer import written_now
from coach.store.records import record_file
from coach.store.records.record_file import RecordAppender, StoredRecord
from coach.system import remove
from coach.toml.diagnostic import FileFault, error_reason

Key = Callable[[State, Instant], State]

# Keys that mean the same on every page: they also work where the page has just changed, or nothing can be saved.
_ON_EVERY_PAGE: tuple[Key, ...] = (report_trouble, leave)
_OF_TROUBLE = (step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN)


class NotAdmitted(Exception):
    """No new session may start after the interrupted one was closed; the message says why and what to do."""


class LiveSession:
    """One session and its record. The state changes only after its new entries are on the disk.

    The exception is a state that the client must see at once: that a rule stops the session or would stop it, or the
    questions about a pain that may lead there. `unsaved` then says why they are not saved; each key tries again, and
    nothing else goes on before that succeeds. `asked_again` says that the client was away for so long that the
    check-in is repeated. `ended_why` says why a session that was open for even longer has ended; it is None where
    none has, and empty where nothing is in the way of a new one. `left_out` says which exercises are due and not done
    today, and why, and `arrived` what came from the therapist. `closed` is the session
    before, if it was interrupted and closed.

    A rehearsal has no record, and nothing of it is saved.
    """

    def __init__(
        self, store: ClientStore, state: State, record_path: Path | None, clock: Clock, idle_s: float = 0.0
    ) -> None:
        """`idle_s`: for how many seconds nothing was done before. Raises OSError where there is no such record."""
        self.state = state
        self.unsaved = ""
        self.asked_again = False
        self.ended_why: str | None = None
        self._unchecked = False  # whether the session was open for long, and is to be compared with a new one
        self.left_out: tuple[str, ...] = ()
        self.arrived: tuple[str, ...] = ()
        self.closed: Record | SessionFile | None = None
        self._store = store
        self._appender = None if record_path is None else RecordAppender(record_path, record_path.read_bytes())
        self._saved_entries = len(state.file_entries)
        self._clock = SessionClock(clock)
        self._touched_s = state.seen_s - idle_s

    def discard(self) -> None:
        """Remove the record of a session that was never shown. Raises OSError."""
        if self._appender is not None:
            remove(self._appender.path)

    @property
    def now_s(self) -> float:
        """Seconds of the session's clock."""
        return self._clock().s

    @property
    def damaged_records(self) -> tuple[str, ...]:
        """The file names of earlier records that the session goes on without."""
        return tuple(raw.path.name for raw in self._store.folder.damaged)

    @cached_property
    def earlier_records(self) -> tuple[Record, ...]:
        """The records of earlier sessions, of every exercise; none where one of them cannot be read."""
        own = None if self._appender is None else self._appender.path
        with suppress(FileFault):
            sessions = self._store.folder.stored_sessions
            return tuple(stored.record for one in sessions if one.path != own for stored in one.records)
        return ()

    def act(self, key: Key) -> State:
        """Let time pass up to now, then do what the key does. Raises SaveFailed.

        A key is dropped where the check-in is asked again: it was pressed for another page.
        """
        now, before = self._clock(), self.state
        aged = before.another_follows and self._is_older(now, "ask_again_min")
        anywhere = key in _ON_EVERY_PAGE or self.state.chosen is not None  # a confirmation stays on the screen
        try:
            self._let_pass(now)
        except SaveFailed:
            if not anywhere:
                raise
        self._touched_s = now.s
        if self.ended_why is None and (self.state.script is before.script or anywhere):
            self._save(key(self.state, now))
        if self._unchecked and not self.state.over:
            self._end_if_another(now)
        elif aged and not self.state.over:
            self._save(self._asked_once_more(self.state, now))
        return self.state

    def tick(self, on_passed: Callable[[State, State], object] = lambda *_: None) -> State:
        """Let time pass. In a timed step `on_passed` is called before saving, so no tone waits for the disk.

        Raises SaveFailed, and pauses, where what happened cannot be saved: no set goes on unsaved.
        """
        self._let_pass(self._clock(), on_passed)
        return self.state

    def why_not_kept(self) -> str:
        """Why the record does not hold everything that was shown; empty where it does. Tries to save once more."""
        if self._appender is None:
            return ""
        with suppress(SaveFailed):
            self._save(self.state)
        if self.unsaved:
            return self.unsaved
        try:
            self._appender.restore()
        except OSError as error:
            return f"{self._appender.path} could not be written: {error_reason(error)}"
        return ""

    def _let_pass(self, now: Instant, on_passed: Callable[[State, State], object] = lambda *_: None) -> None:
        before = self.state
        state = tick(before, now)
        if state.goes_on_by_itself:
            self._touched_s = now.s
        elif self._is_older(now, "resume_within_min") and self._end_if_another(now):
            return
        elif self._is_older(now, "ask_again_min") and not state.another_follows:
            state = self._asked_once_more(state, now)
        if before.watch.since_s is not None:
            on_passed(before, state)
        if state.record is before.record:
            self.state = state
            return
        try:
            self._save(state)
        except SaveFailed:
            self.state = pause(before, Instant(before.seen_s, now.at))
            raise

    def _is_older(self, now: Instant, limit: LimitName) -> bool:
        """Whether the client has done nothing for longer than the minutes of this limit."""
        return now.s - self._touched_s > 60 * self.state.plan.limits[limit]

    def _asked_once_more(self, state: State, now: Instant) -> State:
        self._touched_s = now.s
        again = ask_again(state, now)
        self.asked_again = self.asked_again or again.script is not state.script
        return again

    def _end_if_another(self, now: Instant) -> bool:
        """End a session that was open for long, if a new start would be refused or give another one.

        What would stop it and waits for its confirmation stays on the screen first.
        """
        state = self.state
        self._unchecked = state.chosen is not None
        if self._appender is None or self._unchecked or (state.over and not state.another_follows):
            return False
        from coach.store.programme.left_open import why_not_gone_on

        self.ended_why = why_not_gone_on(self._store, state, now.at)
        if self.ended_why is None:
            return False
        self._touched_s = now.s
        self._save(finish_day(leave(state, now), now))
        return True

    def _save(self, state: State) -> None:
        if self._appender is None:
            self.state = state
            return
        new = state.file_entries[self._saved_entries :]
        try:
            with save_failures(self._appender.path):
                self._appender.append(new)
        except SaveFailed as error:
            if not _must_be_shown(self.state, state):
                raise
            self.state, self.unsaved = state, str(error)
            return
        self.state, self.unsaved, self._saved_entries = state, "", len(state.file_entries)
        if any(isinstance(one, Answered) and one.step == step_names.TELL_BY for one in new):
            with suppress(OSError):  # the record has it; without the file the next session asks again
                keep_choice(self._store.path, tell_by=state.tell_by)
        if new and state.over:
            with suppress(OSError):  # derived: the records hold everything, and the next start writes it
                self._store.save_ended(self._appender.path, state.record, state.plan.before)


def _must_be_shown(before: State, after: State) -> bool:
    """Whether a state is shown even if it cannot be saved.

    It is where the session ends early, where what would end it is to be confirmed or is taken back, where a pain or a
    problem is reported, and where nothing goes on and nothing is added: a pause.
    """
    ended = after.record.ended
    if ended is not None:
        return ended.how != "finished"
    if before.chosen is not None or after.chosen is not None:
        return True
    if any(state.asking is not None and state.asking.question in _OF_TROUBLE for state in (before, after)):
        return True
    stays = after.at_step == before.at_step and after.watch.since_s is None
    return stays and after.record is before.record


def open_session(store: ClientStore, now: Instant) -> Opening:
    """Today's plan, with the interrupted session if there is one that may be continued.

    An interrupted session that may not be continued is closed as far as it went. Raises SaveFailed, and NoSession
    where no band at hand gives a load.
    """
    if store.folder.prescribed.programme is not None:
        return _open_programme(store, now)
    plan = plan_now(store)
    left = store.folder.open_record
    if left is None or _may_continue(plan, left, now):
        return Opening(store, plan, left)
    return close_open_record(store, now)


def _open_programme(store: ClientStore, now: Instant) -> Opening:
    """As `open_session`, of a programme: today's exercises in their order."""
    interrupted = interrupted_programme(store, now.at)
    if interrupted is not None:
        return interrupted
    newest = store.folder.newest_session
    left = newest.session if newest is not None and store.folder.is_session_open else None
    if store.folder.open_record is not None:
        store = close_open_record(store, now).store
    return replace(_todays_session(store, now), closed=left)


def _todays_session(store: ClientStore, now: Instant) -> Opening:
    today = todays_exercises(store, now.at)
    if not today.plans:
        raise NotAdmitted(" ".join(dict.fromkeys(why for _, why in today.left_out)))
    first, *coming = today.plans
    return Opening(store.for_exercise(first.name), first, None, tuple(coming), left_out=today.left_out)


def _may_continue(plan: Plan, left: StoredRecord, now: Instant) -> bool:
    """Whether an interrupted session is recent, of today's position and stopped by no rule.

    Nor may anything have been signed since: under a later instruction it would be another session.
    """
    minutes = (now.at - left.record.started).total_seconds() / 60
    same = plan.before.exercise_position == left.record.exercise_position
    recent = 0 <= minutes <= plan.limits["resume_within_min"]
    unchanged = all(one.at < left.record.last_at for one in plan.prescription.sign_offs)
    return same and recent and unchanged and stopped_by(plan, left.record) is None


def start_session(opening: Opening, clock: Clock, resume: bool = False) -> LiveSession:
    """Start a new session, after closing an interrupted one; with `resume`, continue that one.

    Raises SaveFailed, and NotAdmitted where the decision on the interrupted session lets no other one begin.
    """
    left = opening.interrupted
    if left is None:
        return _start(opening, clock)
    if resume:
        return _resume(opening, left, clock)
    if opening.session is not None:
        return _start(_without_the_rest(opening, left, clock), clock)
    closed, now = close_open_record(opening.store, clock()), clock()
    _refuse_after_a_stop(closed.store, now)
    admission = closed.store.admission(now.at, closed.plan.before)
    if not admission.may_start:
        raise NotAdmitted(admission.sentence)
    return _start(replace(closed, closed=None), clock)  # the client has just chosen that


def _refuse_after_a_stop(closed: ClientStore, now: Instant) -> None:
    """Raise NotAdmitted where what the closed session holds stops the client for today."""
    progress = closed.folded_progress
    if progress.decision is not None and progress.decision.move == "stop":
        admission = closed.admission(now.at, progress)
        told = told_after_a_stop(progress.decision, closed.content)
        raise NotAdmitted(told if admission.may_start else admission.sentence)


def _without_the_rest(opening: Opening, left: StoredRecord, clock: Clock) -> Opening:
    """Close an interrupted session of a programme as far as it went; what a new one starts from."""
    store, now = opening.store, clock()
    if store.folder.open_record is not None:
        store = close_open_record(store, now).store
        _refuse_after_a_stop(store.for_exercise(left.record.name), now)
    if store.folder.is_session_open:
        with save_failures(left.path):
            record_file.append(left.path, (SessionClosed(at=now.at),))
    return _todays_session(read_again(store), now)


def _start(opening: Opening, clock: Clock) -> LiveSession:
    """A new session with a new record on the disk; a rehearsal has none."""
    store, plan, now = opening.store, opening.plan, clock()
    record = open_record(plan, now.at)
    session = _session_file(opening, now)
    if session is not None:
        record = session.record(session.exercises[0])
    if plan.rehearsal or plan.practice:
        state = begin(plan, script_of(plan, record), record, now, session, opening.coming)
        return LiveSession(store, state, None, clock)
    with save_failures(store.path):
        store.save(now.at)
        path = record_file.create(records_folder(store.path), session or record)
        chosen = carried_over(store.folder.newest.record if store.folder.newest else None, plan.content, now.at)
        if chosen is not None:
            session = session.with_entry(chosen) if session is not None else None
            record = record.with_entry(chosen)
            record_file.append(path, record.entry)
        state = begin(plan, script_of(plan, record), record, now, session, opening.coming)
        live = LiveSession(store, state, path, clock)
        live.arrived = (*arrived_lines(store), *_measured_lines(store))
        live.left_out, live.closed = left_out_lines(opening), opening.closed
        return live


def _measured_lines(store: ClientStore) -> tuple[str, ...]:
    """What the client is told of what a sensor measured."""
    if not store.folder.measured_files.contents:
        return ()
    from coach.store.measured_sets.of_client import last_time_lines

    return last_time_lines(store)


def _session_file(opening: Opening, now: Instant) -> SessionFile | None:
    """The new session of a programme; None where the client has only a prescription."""
    folder, plans = opening.store.folder, (opening.plan, *opening.coming)
    if folder.prescribed.programme is None or opening.plan.practice:
        return None
    written = None if opening.plan.rehearsal else written_now(folder.written)
    return open_session_file(plans, now.at, written, opening.store.date_confirmed)


def _resume(opening: Opening, left: StoredRecord, clock: Clock) -> LiveSession:
    """An interrupted session continues in its own record; the check-in is asked again if that was long ago."""
    now, session = clock(), opening.session
    idle_s = max(0.0, (now.at - left.record.last_at).total_seconds())
    if session is not None and not session.has_begun(session.part(left.record.name or "")):
        state = begin_exercise(session, opening.plan, opening.coming, now)
    else:
        script = remaining_script(script_of(opening.plan, left.record), left.record)
        state = with_pain_asked(begin(opening.plan, script, left.record, now, session, opening.coming))
    with save_failures(left.path):
        live = LiveSession(opening.store, state, left.path, clock, idle_s)
    live.tick()
    return live

"""A session under way: every key goes through the runner, and what it brought is on the disk before it is shown."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from coach.model.content import Content
from coach.model.record import How
from coach.progression.state_machine import advance
from coach.session.plan import Plan, open_record, plan_session, script_of
from coach.session.rehearsal import rehearsed
from coach.session.runner import begin, stopped_by, tick
from coach.session.script import to_go_on_with
from coach.session.state import Present, State
from coach.session.transitions import closing
from coach.store import record_file
from coach.store.client_folder import ProfileFolder, read_profile_folder, records_folder, save_progress
from coach.store.client_store import before_the_open_record, save, seal, standing
from coach.store.clock import Clock
from coach.store.record_file import Growing, Kept
from coach.toml.diagnostic import reason

Key = Callable[[State, Present], State]


class NotSaved(Exception):
    """Something could not be written; the session stands where it stood before it."""


@contextmanager
def _written(path: Path) -> Iterator[None]:
    """NotSaved, with the place and the reason, where the disk refuses."""
    try:
        yield
    except OSError as error:
        raise NotSaved(f"{path} could not be written: {reason(error)}") from error


@dataclass(frozen=True)
class Opening:
    """What a start finds: the client, the plan of today, and an interrupted session that may still go on."""

    folder: ProfileFolder
    plan: Plan
    interrupted: Kept | None


class LiveSession:
    """One session and its file. The state changes only after its new entries are on the disk.

    A rehearsal has no file, and nothing of it is kept.
    """

    def __init__(self, folder: Path, state: State, record_path: Path | None, clock: Clock) -> None:
        self.state = state
        self._folder = folder
        self._record = Growing(record_path) if record_path is not None else None
        self._clock = clock

    @property
    def now_s(self) -> float:
        """Seconds of the session's clock."""
        return self._clock().s

    def act(self, key: Key) -> State:
        """Let time pass up to now, then do what the key does. NotSaved where the disk refuses."""
        now = self._clock()
        self._keep(tick(self.state, now))
        self._keep(key(self.state, now))
        return self.state

    def tick(self) -> State:
        """Let time pass up to now. NotSaved where the disk refuses."""
        self._keep(tick(self.state, self._clock()))
        return self.state

    def _keep(self, state: State) -> None:
        if self._record is None:
            self.state = state
            return
        new = state.record.entry[len(self.state.record.entry) :]
        with _written(self._record.path):
            self._record.append(new)
        self.state = state
        if new and state.over:
            with suppress(OSError):  # derived: the records say everything, and the next start writes it
                save_progress(self._folder, advance(state.plan.before, state.record, state.plan.book).after)
                seal(self._folder, state.plan.content)


def open_session(folder: ProfileFolder, content: Content, now: Present) -> Opening:
    """The plan of today; an interrupted session is offered again if it is fresh and nothing stopped it.

    One that may not go on is closed as far as it went. NoLoadStep where no band at hand gives a load.
    """
    plan = _plan(folder, content)
    left = folder.open_record
    if left is None or _may_go_on(plan, left, now):
        return Opening(folder, plan, left)
    return close_left_open(folder, content, now)


def open_rehearsal(folder: ProfileFolder, content: Content, speed: float) -> Opening:
    """The session of today to be gone through at a speed, with nothing kept. NoLoadStep as for a session."""
    progress = standing(folder, content)
    plan = plan_session(folder.profile, folder.prescription, content, progress)
    return Opening(folder, rehearsed(plan, speed), None)


def _may_go_on(plan: Plan, left: Kept, now: Present) -> bool:
    """Whether an interrupted session is fresh, of today's position, and stopped by nothing."""
    minutes = (now.at - left.record.started).total_seconds() / 60
    same = plan.before.place == left.record.place
    fresh = 0 <= minutes <= plan.limits["resume_within_min"]
    return same and fresh and stopped_by(plan, left.record) is None


def _plan(folder: ProfileFolder, content: Content) -> Plan:
    before = before_the_open_record(folder, content)
    return plan_session(folder.profile, folder.prescription, content, before)


def close_left_open(folder: ProfileFolder, content: Content, now: Present) -> Opening:
    """Close a record that was left open, with the decision that follows from what there is; the plan after it.

    NotSaved where the disk refuses.
    """
    left = folder.open_record
    if left is not None:
        plan = _plan(folder, content)
        how: How = "left" if stopped_by(plan, left.record) is None else "stopped"
        ended = closing(plan, left.record, how, now.at)
        after = advance(plan.before, left.record.with_entry(ended), plan.book).after
        with _written(left.path):
            record_file.append(left.path, (ended,))
            save(folder, content, after, now)
        folder = read_profile_folder(folder.path)
    return Opening(folder, _plan(folder, content), None)


def start_session(opening: Opening, clock: Clock, goes_on: bool = False) -> LiveSession:
    """The interrupted session, where the client goes on with it; else a new one, after that one is closed.

    NotSaved where the disk refuses.
    """
    left = opening.interrupted
    if left is None:
        return _begun(opening, clock)
    if goes_on:
        return _resumed(opening, left, clock)
    return _begun(close_left_open(opening.folder, opening.plan.content, clock()), clock)


def _begun(opening: Opening, clock: Clock) -> LiveSession:
    """A new session with a new record on the disk; a rehearsal begins with none."""
    folder, plan, now = opening.folder, opening.plan, clock()
    record = open_record(plan, now.at)
    if plan.rehearsal:
        return LiveSession(folder.path, begin(plan, script_of(plan, record), record, now), None, clock)
    with _written(folder.path):
        save(folder, plan.content, plan.before, now)
        path = record_file.create(records_folder(folder.path), record)
    return LiveSession(folder.path, begin(plan, script_of(plan, record), record, now), path, clock)


def _resumed(opening: Opening, left: Kept, clock: Clock) -> LiveSession:
    """An interrupted session goes on in its own record."""
    folder, plan = opening.folder, opening.plan
    script = to_go_on_with(script_of(plan, left.record), left.record)
    return LiveSession(folder.path, begin(plan, script, left.record, clock()), left.path, clock)

"""Closes a session that was left open, as far as it went, with the decision on what it holds."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from msgspec.structs import replace

from coach.model.programme.session_file import SessionFile
from coach.model.record import Ended, Entry, Record, SessionEnd
from coach.progression.state_machine import with_choice_counted
from coach.session.plan import Plan, plan_session
from coach.session.runner import stopped_by
from coach.session.state import Instant
from coach.session.transitions import closing_entry
from coach.store.client_store import ClientStore
from coach.store.programme.opening import Opening, as_at_home
from coach.store.records import record_file
from coach.store.records.record_file import StoredRecord
from coach.toml.diagnostic import FileFault, error_reason


class SaveFailed(Exception):
    """Something could not be written; the session is as it was before."""


@contextmanager
def save_failures(path: Path) -> Iterator[None]:
    """Raise SaveFailed, with the path and the reason, for an OSError and for what could not be read again."""
    try:
        yield
    except FileFault as fault:
        raise SaveFailed("; ".join(f"{one.path}: {one.what}" for one in fault.faults)) from fault
    except OSError as error:
        raise SaveFailed(f"{path} could not be written: {error_reason(error)}") from error


def plan_now(store: ClientStore) -> Plan:
    """Today's plan, without what an open record holds. Raises NoSession."""
    plan = plan_session(store.profile, store.prescription, store.content, store.progress_before_open_record)
    return as_at_home(store, plan)


def close_open_record(store: ClientStore, now: Instant) -> Opening:
    """Close a record that was left open, with the decision on what it holds; the plan after it. Raises SaveFailed."""
    left = store.folder.open_record
    if left is None:
        return Opening(store, plan_now(store), None)
    if store.folder.prescribed.programme is not None:
        store = store.for_exercise(left.record.name)
    plan = plan_now(store)
    how: SessionEnd = "left" if stopped_by(plan, left.record) is None else "stopped"
    ended = closing_entry(plan, left.record, how, now.at)
    with save_failures(left.path):
        store.move_aside_if_it_differs(now.at)
        others = _closing_others_begun(store, left, now)
        new = (*_choice_left(left.record), ended.model_copy(update={"exercise": left.record.name}))
        record_file.append(left.path, (*new, *others))
        store.save_ended(left.path, left.record.with_entry(*new), plan.before)
    closed = read_again(store)
    return Opening(closed, plan_now(closed), None, closed=left.record)


def _choice_left(record: Record) -> tuple[Entry, ...]:
    """The answer that a choice counts as which was neither confirmed nor taken back; nothing where there is none."""
    return with_choice_counted(record).entry[len(record.entry) :]


def _closing_others_begun(store: ClientStore, left: StoredRecord, now: Instant) -> Iterator[Ended]:
    """The closing entry of each other exercise of the session that was begun: of two done in turn, the other."""
    newest = store.folder.newest_session
    if newest is None or not isinstance(newest.session, SessionFile):
        return
    for name in newest.session.begun:
        if name != left.record.name and name in store.folder.prescribed.names:
            one = store.for_exercise(name)
            record = newest.session.record(newest.session.part(name))
            yield closing_entry(plan_now(one), record, "left", now.at).model_copy(update={"exercise": name})


def read_again(store: ClientStore) -> ClientStore:
    """The client as the files are now."""
    found = ClientStore.read(store.path, store.content, repair=True)
    return replace(found, date_confirmed=store.date_confirmed)

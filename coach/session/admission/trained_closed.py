"""Sessions that were done while strengthening was closed, because whoever trained did not know of it.

At home nothing is known of an operation that the clinic has noted until a file says so. The session there is like
any other: only here it is found, from the conditions of the client, the records and what was signed.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime

from msgspec import Struct

from coach.model.base import Name
from coach.model.caseload import ClosedSession
from coach.model.content import Content
from coach.model.instruction import Instruction
from coach.model.message_format import fill
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.apply_instructions import instructions_in_force
from coach.session.admission.client_conditions import awaiting_permission

_DAYS_PER_WEEK = 7


class ClosedRecord(Struct, frozen=True):
    """A record of a session that nobody had allowed, with the operation that it came after."""

    record: Record
    session: ClosedSession


def trained_while_closed(
    profile: Profile, prescription: Prescription, content: Content, progress: Progress, records: Sequence[Record]
) -> tuple[ClosedRecord, ...]:
    """The records with a set that began after the day of an operation and before a permission that covers it."""
    kinds = content.conditions
    waiting = any(one.kind in kinds and kinds[one.kind].needs_permission for one in profile.condition)
    if not waiting and progress.repaired_on is None:
        return ()
    signed, found = instructions_in_force(prescription, records), list[ClosedRecord]()
    weeks = content.limit_values(prescription.limits)["repair_weeks"]
    for record in records:
        if record.sets_done:
            allowed = _allowed_before(record, signed, progress)
            closed = _closed(record.started.date(), profile, content, allowed, weeks)
            found += [ClosedRecord(record, one) for one in [max(closed, key=_day, default=None)] if one is not None]
    return tuple(found)


def closed_at(closed: Iterable[ClosedRecord]) -> dict[tuple[datetime, Name | None], ClosedSession]:
    """The same by the start of the session and the name of the exercise."""
    return {(one.record.started, one.record.name): one.session for one in closed}


def closed_text(closed: ClosedSession, content: Content) -> str:
    """That a session was done while it was closed, in a few words."""
    messages, conditions = content.messages.therapist.caseload, content.messages.conditions.condition
    known = conditions.get(closed.kind) if closed.kind is not None else None
    values = {
        "days": (closed.trained - closed.on).days,
        "what": messages.an_operation if known is None else known.name,
    }
    return fill(messages.trained_closed, values)


def closed_line(closed: ClosedSession, content: Content) -> str:
    """The same as a sentence with the day of the session."""
    values = {"day": closed.trained.isoformat(), "told": closed_text(closed, content)}
    return fill(content.messages.therapist.caseload.trained_closed_on, values)


def _allowed_before(record: Record, signed: Sequence[Instruction], progress: Progress) -> Progress:
    """The progress with the permission that stood when a session began, and with no other."""
    allowed, known = None, None
    for one in sorted(signed, key=lambda one: one.at):
        if not _was_before(one, record):
            continue
        if one.notes_repair:
            allowed, known = None, None
        elif one.what == "allow_strengthening":
            allowed, known = one.at.date(), one.conditions
    return progress.model_copy(
        update={
            "strengthening_allowed": allowed is not None,
            "strengthening_allowed_on": allowed,
            "strengthening_allowed_with": known,
        }
    )


def _was_before(instruction: Instruction, record: Record) -> bool:
    """Whether an instruction was signed before a session began: by what that knew, else by the clock."""
    if record.written is not None and instruction.written is not None and record.written.knew(instruction.written):
        return True
    return instruction.at <= record.started


def _closed(
    trained: date, profile: Profile, content: Content, allowed: Progress, weeks: float
) -> Iterator[ClosedSession]:
    """What the session of a day came after and was not allowed for."""
    for one in awaiting_permission(profile, content, allowed):
        if one.on < trained:
            yield ClosedSession(trained=trained, on=one.on, kind=one.kind)
    repaired = allowed.repaired_on
    if repaired is None or allowed.may_strengthen or not repaired < trained:
        return
    prescribed = allowed.prescribed_on
    if prescribed is None or (prescribed - repaired).days < weeks * _DAYS_PER_WEEK:
        yield ClosedSession(trained=trained, on=repaired)


def _day(closed: ClosedSession) -> date:
    return closed.on

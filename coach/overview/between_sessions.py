"""What was signed and measured between the sessions of a history: the therapist's instructions, and the visits."""

from collections.abc import Sequence
from datetime import datetime

from msgspec import Struct

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.seen_at_visits import known_before
from coach.model.programme.visit_file import VisitFile
from coach.model.progress import PendingInstruction
from coach.model.record import Record
from coach.overview.instruction_lines import instruction_lines
from coach.overview.visits.visit_summary import VisitInWords


class BetweenSessions(Struct, frozen=True):
    """One instruction or visit, as a line and as sentences."""

    at: datetime
    line: str
    sentences: tuple[str, ...]


def between_sessions(
    prescription: Prescription,
    records: Sequence[Record],
    pending: Sequence[PendingInstruction],
    visits: Sequence[VisitFile],
    profile: Profile,
    content: Content,
) -> tuple[BetweenSessions, ...]:
    """The instructions of one exercise and the visits of the client, in order of time.

    `profile` is as the visits left it, on both sides.
    """
    messages = content.messages.therapist.history
    found = []
    for one in prescription.sign_offs:
        first, *below = instruction_lines(one, prescription, records, content.messages, pending)
        line = fill(messages.instruction, {"line": first})
        found.append(BetweenSessions(one.at, line, tuple(below)))
    limits = content.limit_values(prescription.limits)
    for number, visit in enumerate(visits):
        words = VisitInWords(visit, known_before(profile, visit.day), visits[:number], limits, content)
        kind = content.messages.therapist.visit.kind[visit.kind]
        line = f"{visit.at:%Y-%m-%d %H:%M}  {visit.initials}  {kind}"
        found.append(BetweenSessions(visit.at, line, tuple(words.sentences())))
    return tuple(sorted(found, key=lambda one: one.at))


def split_at(events: Sequence[BetweenSessions], record: Record | None) -> tuple[list[BetweenSessions], ...]:
    """The events before a session began, and those after; all of them are before the end, where there is none."""
    before = [one for one in events if record is None or one.at < record.started]
    return before, [one for one in events if one not in before]

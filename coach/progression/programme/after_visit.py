"""What a visit did not know of: sessions that were done, or arrived, since the client was seen."""

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct

from coach.model import step_names
from coach.model.caseload import AnsweredNeed
from coach.model.option_names import DischargeReason
from coach.model.programme.visit_file import VisitFile
from coach.model.record import Record
from coach.progression.pain_reports import worst_reported


class Discharged(Struct, frozen=True):
    """That the client is no longer looked after: since which day, and why."""

    on: date
    reason: DischargeReason


def last_visit(visits: Sequence[VisitFile]) -> VisitFile | None:
    """The newest visit at which the client was seen or spoken to; of visits in order."""
    return next((one for one in reversed(visits) if was_met(one)), None)


def discharged_at(visits: Sequence[VisitFile]) -> Discharged | None:
    """The discharge of the client; None where there was none, or a visit in the clinic since."""
    newest = _discharging(visits)
    return None if newest is None or newest.discharge is None else Discharged(newest.day, newest.discharge.reason)


def _discharging(visits: Sequence[VisitFile]) -> VisitFile | None:
    """The visit with the discharge that `discharged_at` tells of."""
    newest = next((one for one in reversed(visits) if one.discharge is not None or one.kind == "visit"), None)
    return None if newest is None or newest.discharge is None else newest


def sessions_since_discharge(visits: Sequence[VisitFile], records: Iterable[Record]) -> int:
    """How many sessions the discharge of the client did not know of; 0 of a client who was not discharged."""
    left = _discharging(visits)
    return 0 if left is None else len({one.started for one in unknown_to(left, records)})


def ended_by(visit: VisitFile, earlier: Sequence[VisitFile]) -> Discharged | None:
    """The discharge that a visit ends, so that the client is looked after again; None where it ends none."""
    before = discharged_at(earlier)
    return before if before is not None and discharged_at((*earlier, visit)) is None else None


def answered_needs(
    visits: Sequence[VisitFile], records: Sequence[Record], closed: Sequence[Record] = ()
) -> tuple[AnsweredNeed, ...]:
    """What was done about needs at visits, in order; `records` are those of one exercise.

    `closed` are those of them that were not allowed.
    """
    found = list[AnsweredNeed]()
    for visit in (one for one in visits if one.needs):
        since = unknown_to(visit, records)
        decisions = [one.ended.decision for one in since if one.ended is not None]
        told = dict.fromkeys(rule for one in decisions for rule in (one.rule, *one.tell))
        found += [
            AnsweredNeed(
                need=one.need,
                exercise=one.exercise,
                how=one.how,
                on=visit.day,
                until=one.on,
                known=not since,
                told_since=tuple(told),
                closed_missed=len(unknown_to(visit, closed)),
            )
            for one in visit.needs
        ]
    return tuple(found)


def was_met(visit: VisitFile) -> bool:
    """Whether the client was met; not where a need only says that nobody was reached."""
    return not visit.needs or any(one.how != "not_reached" for one in visit.needs) or visit.kind == "visit"


def is_unknown_to(visit: VisitFile | None, record: Record) -> bool:
    """Whether a session was not known when a visit was signed; without a visit every session is."""
    if visit is None:
        return True
    if visit.written is None or record.written is None:
        return record.last_at > visit.at
    return not visit.written.knew(record.written)


def unknown_to(visit: VisitFile | None, records: Iterable[Record]) -> tuple[Record, ...]:
    """The sessions that were not known when a visit was signed."""
    return tuple(one for one in records if is_unknown_to(visit, one))


def worst_pain(record: Record) -> int | None:
    """The worst pain that a session tells of: before, during, and of the morning after the one before it."""
    pains = (worst_reported(record), record.answer(step_names.MORNING_AFTER))
    return max((pain for pain in pains if isinstance(pain, int)), default=None)


def sign_of(record: Record) -> str | None:
    """The warning sign for which a session was stopped; None where it was stopped for none."""
    ended = record.ended
    sign = ended.decision.numbers.get("sign") if ended is not None else None
    return sign if isinstance(sign, str) else None

"""A fault that a sensor measured, where the therapist chose that it holds the load: a veto, like an answer, no more.

A measurement comes after the session, whose decision was told by then. What was told stays in the record; what holds
from then on is that nothing rises. After a later session of the exercise, that session's own decision gives the load,
and only the streak towards the next rise begins from the start. It depends on the files alone, not on when they came.
"""

from collections.abc import Mapping
from datetime import datetime

from msgspec.structs import replace

from coach.model.base import Name
from coach.model.measured.tempo_kept import MeasuredFault
from coach.model.progress import Progress
from coach.model.record import Decision, Record
from coach.progression.decision_messages import decision_reason, rounded_nm
from coach.progression.effects import EFFECTS
from coach.progression.facts import SessionFacts, extract_facts
from coach.progression.rule_book import RuleBook
from coach.progression.session_conditions import measured_fault

Vetoes = Mapping[tuple[datetime, Name | None], tuple[MeasuredFault, ...]]
"""What was measured against a session, by when it was started and the exercise of the programme."""


def measured_against(record: Record, vetoes: Vetoes) -> tuple[MeasuredFault, ...]:
    """The measured faults that hold after a record."""
    return vetoes.get((record.started, record.name), ()) if vetoes else ()  # hashing a datetime is slow


def vetoed(facts: SessionFacts, told: Decision, book: RuleBook) -> Decision | None:
    """What holds in place of the decision that was told; None where nothing was measured against it, or to hold."""
    numbers = measured_fault(facts)
    if numbers is None or not _leads_up(facts, told):
        return None
    rule = next((one for one in book.content.rules if one.when == measured_fault.__name__), None)
    if rule is None:
        return None
    outcome = EFFECTS["hold"](facts)
    return Decision(
        move=outcome.move,
        variable=outcome.variable,
        rule=rule.name,
        reason=decision_reason(rule, numbers, outcome, book),
        source=rule.source,
        numbers={**numbers, "from_nm": rounded_nm(facts.record.rungs.step), "to_nm": rounded_nm(outcome.load)},
        load=outcome.load,
        repetitions=outcome.repetitions,
        status="review" if told.status == "review" else outcome.status,  # only the therapist ends a review
        tell=told.tell,
    )


def held_late(
    before: Progress, record: Record, measured: tuple[MeasuredFault, ...], book: RuleBook, is_last: bool
) -> Progress:
    """The progress with faults that were measured after a record was applied, where not all records are there.

    To the safe side: the streaks begin from the start, also those that began after the record. `is_last`: no session
    of the exercise was done since. Then load and repetitions are not above those of the session.
    """
    if record.exercise_position != before.exercise_position:
        return before
    after = before.model_copy(update={"ready_sessions": 0, "clean_sets": 0, "pace_sets": 0})
    facts = extract_facts(before, record, book, "session", measured=measured)
    held = vetoed(facts, record.ended.decision, book) if is_last and record.ended is not None else None
    if held is None:
        return after
    if before.load is None or before.load.mean_nm < held.load.mean_nm:
        return after.model_copy(update={"decision": held})
    fewer = min(before.repetitions, held.repetitions)
    return after.model_copy(update={"load": held.load, "repetitions": fewer, "decision": held})


def _leads_up(facts: SessionFacts, told: Decision) -> bool:
    """Whether the decision lets something rise, or the session counts towards a rise or the next position."""
    return told.move == "progress" or (told.move == "hold" and replace(facts, measured=()).ready)

"""A fault that a sensor measured, where the therapist chose that it holds the load: a veto, like an answer, no more.

A measurement comes after the session, whose decision was told by then. What was told stays in the record; what holds
from then on is that nothing rises. After a later session of the exercise, that session's own decision gives the load,
and only the streak towards the next rise begins anew. It depends on the files alone, not on when they came.
"""

from collections.abc import Mapping
from datetime import datetime

from msgspec.structs import replace

from coach.model.base import Name
from coach.model.measured.tempo_kept import MeasuredFault
from coach.model.record import Decision, Record
from coach.progression.decision_messages import decision_reason, rounded_nm
from coach.progression.effects import EFFECTS
from coach.progression.facts import SessionFacts
from coach.progression.rule_book import RuleBook
from coach.progression.session_conditions import measured_fault

Vetoes = Mapping[tuple[datetime, Name | None], tuple[MeasuredFault, ...]]
"""What was measured against a session, by when it was started and the exercise of the programme."""


def measured_against(record: Record, vetoes: Vetoes) -> tuple[MeasuredFault, ...]:
    """The measured faults that hold after a record."""
    return vetoes.get((record.started, record.name), ())


def vetoed(facts: SessionFacts, told: Decision, book: RuleBook) -> Decision | None:
    """What holds in place of the decision that was told; None where nothing was measured against it, or to hold."""
    numbers = measured_fault(facts)
    rule = next((one for one in book.content.rules if one.when == measured_fault.__name__), None)
    if numbers is None or rule is None or not _leads_up(facts, told):
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


def _leads_up(facts: SessionFacts, told: Decision) -> bool:
    """Whether the decision lets something rise, or the session counts towards a rise or the next position."""
    return told.move == "progress" or (told.move == "hold" and replace(facts, measured=()).ready)

"""The end of a session by each rule, for authors of content: every reason that a client can read, on its page.

The load and the repetitions follow from a clean session; the numbers of each reason are invented.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import get_args

from coach.model.answers_file import Answers
from coach.model.content_entries import Rule
from coach.model.record import Decision, Ended, GapReason, Number, Record, Relief, SessionEnd
from coach.progression.check_in_conditions import TO_COME
from coach.progression.decision_messages import NOT_SURE, client_message, decision_reason, therapist_message
from coach.progression.effects import EFFECTS, STOPPING
from coach.progression.facts import EQUIPMENT, SessionFacts, extract_facts
from coach.progression.rule_book import HIGH_IRRITABILITY
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.state import State

_NUMBERS: Mapping[str, Number] = {
    "pain": 6, "limit": 5, "usual": 2, "times": 3, "stops": 2, "this_week": 5, "last_week": 3,
    "weeks": 13, "days": 15, "day": 5, "until": "2026-12-24",
    "set": 1, "took": 58, "right": 80, "faults": 1, "not_sure": 0, "missing": 0,
    "sessions": 2, "lowest": 6, "bottom": 8, "goal": 9, "top": 15, "more": 1, "next": 45,
}  # fmt: skip


def decision_entries(plan: Plan, at: datetime) -> Iterator[tuple[str, State]]:
    """The name and the state of each end: for each rule, and for each thing that its sentence can name."""
    *_, end = rehearsed_states(first_state(plan, at), Answers())
    facts = extract_facts(plan.before, end.record, plan.book, "session")
    for rule in plan.content.rules:
        for named, numbers in _examples(rule, plan):
            name = ".".join(("rule", rule.name, *([named] if named else [])))
            yield name, _ended_by(end, rule, numbers, facts)


def _ended_by(end: State, rule: Rule, numbers: Mapping[str, Number], facts: SessionFacts) -> State:
    """The end of the session as if this rule had decided it, or had added its sentence to the decision."""
    record, ended, book = end.record, end.record.ended, end.plan.book
    assert ended is not None
    if rule.adds_to_decision:
        decision = ended.decision.model_copy(
            update={
                "reason": f"{ended.decision.reason} {client_message(rule, numbers, book)}",
                "tell": {rule.name: therapist_message(rule, numbers, book)},
                "status": "review" if rule.then == "then_review" else ended.decision.status,
            }
        )
        return _with_end(end, record, ended, decision, "finished")
    outcome = EFFECTS[rule.then](facts)
    decision = Decision(
        move=outcome.move,
        variable=outcome.variable,
        rule=rule.name,
        reason=decision_reason(rule, numbers, outcome, book),
        source=rule.source,
        numbers=dict(numbers),
        load=outcome.load,
        repetitions=outcome.repetitions,
        status=outcome.status,
    )
    return _with_end(end, record, ended, decision, "stopped" if rule.then in STOPPING else "finished")


def _with_end(end: State, record: Record, ended: Ended, decision: Decision, how: SessionEnd) -> State:
    entries = (*record.entry[:-1], ended.model_copy(update={"decision": decision, "how": how}))
    return end._replace(record=record.model_copy(update={"entry": entries}), why_shown=True)


def _examples(rule: Rule, plan: Plan) -> Iterator[tuple[str, Mapping[str, Number]]]:
    """The numbers of a rule, once for each name that may stand among them."""
    usual = {name: _NUMBERS.get(name, plan.step.grade) for name in rule.numbers}
    named = next((name for name in ("sign", "what", "fault", "missing", "why") if name in rule.numbers), None)
    values = _named(rule, named, plan) if named is not None else ()
    if named is None or not values:
        yield "", usual
    for value in values:
        yield value, {**usual, str(named): value}
    messages = plan.content.messages.rules.rule.get(rule.name)
    if messages is not None and messages.client_not_sure and rule.numbers and NOT_SURE not in values:
        yield NOT_SURE, {**usual, rule.numbers[0]: NOT_SURE}
    if messages is not None and messages.client_to_come and rule.numbers:
        yield TO_COME, {**usual, rule.numbers[0]: TO_COME}


def _named(rule: Rule, kind: str, plan: Plan) -> tuple[str, ...]:
    """The names that a sentence of a rule can fill in: signs, checks, faults and so on."""
    content, checks, questions = plan.content, plan.position.checks, plan.position.questions
    if kind == "sign":
        return tuple(sign.name for sign in content.signs)
    if kind == "fault":
        return tuple(content.questions[name].fault for name in questions)
    if kind == "missing":
        return tuple(content.messages.rules.missing) if rule.when == "otherwise" else ()
    made: Mapping[str, tuple[str, ...]] = {
        "pain_stop_again": tuple(content.messages.rules.stop_why),
        "not_clear": tuple(content.messages.rules.not_clear),
        "equipment_failed": (*(name for name in plan.book.stopping_checks if name in checks), EQUIPMENT),
        "check_not_met": tuple(name for name in plan.book.passable_checks if name in checks),
        "not_all_asked": questions,
        "event_in_gap": tuple(name for name in get_args(GapReason) if name != "nothing"),
        "pain_masked": tuple(name for name in get_args(Relief) if name != "none"),
        "held_by_condition": (*content.conditions, HIGH_IRRITABILITY),
    }
    return made.get(rule.when, ())

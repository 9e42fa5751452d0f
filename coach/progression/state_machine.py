"""The state machine: (where the client stands, what happened) in, (where they stand next, why) out."""

from collections.abc import Iterable
from dataclasses import dataclass

from coach.model.content_entries import Level, Rule
from coach.model.instruction import SignOff
from coach.model.load_step import LoadStep
from coach.model.prescription import Prescription
from coach.model.progress import Progress
from coach.model.record import Decision, Record, Status
from coach.progression.apply_decision import after, elsewhere
from coach.progression.apply_instructions import sign_offs_in_force, signed
from coach.progression.check_in_conditions import Numbers
from coach.progression.decision_messages import for_therapist, reason, rounded_nm, why
from coach.progression.effects import EFFECTS, STOPPING, Outcome, load_at_once
from coach.progression.facts import Situation, read
from coach.progression.rule_book import RuleBook
from coach.progression.session_conditions import CONDITIONS


@dataclass(frozen=True)
class Verdict:
    """What a rule asks for within the session: stop, or go on with less load."""

    rule: Rule
    stops: bool
    load: LoadStep | None
    sentence: str


@dataclass(frozen=True)
class Judged:
    """A record with the decision that follows from it, and where the client stood before and after."""

    record: Record
    before: Progress
    decision: Decision
    after: Progress


def within(before: Progress, record: Record, book: RuleBook, level: Level, number: int = 0) -> Verdict | None:
    """What the rules of the check-in or of set `number` ask for at once; None where none matches."""
    situation = read(before, record, book, level, number)
    match = _first_match(situation, book, level)
    if match is None:
        return None
    rule, numbers = match
    return Verdict(rule, rule.then in STOPPING, load_at_once(rule.then, situation), why(rule, numbers, book))


def matching(before: Progress, record: Record, book: RuleBook, level: Level, number: int = 0) -> tuple[str, ...]:
    """Every rule that matches at a level, by name, whether or not one before it wins."""
    situation = read(before, record, book, level, number)
    return tuple(rule.name for rule in book.at(level) if CONDITIONS[rule.when](situation) is not None)


def decide(before: Progress, record: Record, book: RuleBook) -> Decision:
    """The decision of a whole session: every rule in order over all that happened, first match wins.

    Rules that stand beside the decision all speak: they tell the therapist, and may ask for a review.
    ValueError if the rules end without one that always matches.
    """
    return _decide(read(before, record, book, "session"), book)


def _decide(situation: Situation, book: RuleBook) -> Decision:
    before, record = situation.before, situation.record
    match = _first_match(situation, book, "session")
    if match is None:
        raise ValueError("no rule matched: the last rule of rules.toml must always match")
    rule, numbers = match
    outcome = EFFECTS[rule.then](situation)
    beside = [(one, found) for one in book.beside if (found := CONDITIONS[one.when](situation)) is not None]
    return Decision(
        move=outcome.move,
        variable=outcome.variable,
        rule=rule.name,
        reason=" ".join([reason(rule, numbers, outcome, book), *(why(one, found, book) for one, found in beside)]),
        source=rule.source,
        numbers={**numbers, "from_nm": rounded_nm(record.rungs.step), "to_nm": rounded_nm(outcome.load)},
        load=outcome.load,
        repetitions=outcome.repetitions,
        status=_status(before.status, outcome, [one for one, _ in beside]),
        tell={one.name: for_therapist(one, found, book) for one, found in beside},
    )


def start(prescription: Prescription) -> Progress:
    """Before the first session: the first position, the first load step, the bottom of the range."""
    return Progress(
        exercise=prescription.exercise,
        position_deg=prescription.positions[0],
        repetitions=prescription.dose.repetitions_min,
        repaired_on=prescription.repaired_on,
    )


def advance(before: Progress, record: Record, book: RuleBook) -> Judged:
    """One record folded in. One from another position, or of another exercise, moves nothing in this one."""
    stood = elsewhere(before, record) if record.place != before.place else before
    stood = stood.model_copy(update={"repetitions": record.repetitions})
    situation = read(stood, record, book, "session")
    decision = _decide(situation, book)
    return Judged(record, stood, decision, after(before, situation, decision, book))


def fold(
    prescription: Prescription, records: Iterable[Record], book: RuleBook
) -> tuple[Progress, tuple[Judged, ...]]:
    """Every record and sign-off in order of time: where the client stands now, and each decision on the way.

    A record takes its place by its last entry: what was signed while the session ran comes before its decision,
    so that no word given earlier can end a review that began later.
    """
    done = tuple(records)
    happened: list[Record | SignOff] = [*done, *sign_offs_in_force(prescription, done)]
    progress, judged = start(prescription), []
    for one in sorted(happened, key=lambda one: one.last_at if isinstance(one, Record) else one.at):
        if isinstance(one, Record):
            judged.append(advance(progress, one, book))
            progress = judged[-1].after
        else:
            progress = signed(progress, one, prescription, book)
    return progress, tuple(judged)


def _first_match(situation: Situation, book: RuleBook, level: Level) -> tuple[Rule, Numbers] | None:
    for rule in book.at(level):
        numbers = CONDITIONS[rule.when](situation)
        if numbers is not None:
            return rule, numbers
    return None


def _status(before: Status, outcome: Outcome, beside: list[Rule]) -> Status:
    """Review is left only by the therapist's word; complete stays until the load goes down or something stops."""
    if before == "review" or any(rule.then == "then_review" for rule in beside):
        return "review"
    if before == "complete" and outcome.status == "active" and outcome.move in ("hold", "progress"):
        return "complete"
    return outcome.status

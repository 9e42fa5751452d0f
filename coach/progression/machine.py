"""The state machine: (where the client stands, what happened) in, (where they stand next, why) out. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass

from coach.model import step_names
from coach.model.content import Level, Rule
from coach.model.load import LoadStep
from coach.model.prescription import Prescription, SignOff
from coach.model.progress import Progress
from coach.model.record import Decision, Record
from coach.progression.conditions import CONDITIONS, Numbers
from coach.progression.effects import EFFECTS, STOPPING, lighter_now
from coach.progression.rule_book import RuleBook
from coach.progression.sentences import reason, rounded_nm, why
from coach.progression.situation import Situation, read


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
    return Verdict(rule, rule.then in STOPPING, lighter_now(rule.then, situation), why(rule, numbers, book))


def decide(before: Progress, record: Record, book: RuleBook) -> Decision:
    """The decision of a whole session: every rule in order over all that happened, first match wins.

    ValueError if the rules end without one that always matches.
    """
    situation = read(before, record, book, "session")
    match = _first_match(situation, book, "session")
    if match is None:
        raise ValueError("no rule matched: the last rule of rules.toml must always match")
    rule, numbers = match
    outcome = EFFECTS[rule.then](situation)
    return Decision(
        move=outcome.move,
        variable=outcome.variable,
        rule=rule.name,
        reason=reason(rule, numbers, outcome, book),
        source=rule.source,
        numbers={**numbers, "from_nm": rounded_nm(record.rungs.step), "to_nm": rounded_nm(outcome.load)},
        load=outcome.load,
        repetitions=outcome.repetitions,
        status="review" if before.status == "review" else outcome.status,
    )


def start(prescription: Prescription) -> Progress:
    """Before the first session: the first position, the first load step, the bottom of the range."""
    return Progress(
        exercise=prescription.exercise,
        position_deg=prescription.positions[0],
        repetitions=prescription.dose.repetitions_min,
    )


def advance(before: Progress, record: Record, book: RuleBook) -> Judged:
    """One record folded in."""
    stood = before.model_copy(update={"position_deg": record.position_deg, "repetitions": record.repetitions})
    decision = decide(stood, record, book)
    return Judged(record, stood, decision, _after(stood, record, decision, book))


def fold(
    prescription: Prescription, records: Iterable[Record], book: RuleBook
) -> tuple[Progress, tuple[Judged, ...]]:
    """Every record and sign-off in order of time: where the client stands now, and each decision on the way."""
    happened: list[Record | SignOff] = [*records, *prescription.sign_offs]
    progress, judged = start(prescription), []
    for one in sorted(happened, key=lambda one: one.started if isinstance(one, Record) else one.at):
        if isinstance(one, Record):
            judged.append(advance(progress, one, book))
            progress = judged[-1].after
        else:
            progress = _signed(progress, one, prescription)
    return progress, tuple(judged)


def _first_match(situation: Situation, book: RuleBook, level: Level) -> tuple[Rule, Numbers] | None:
    for rule in book.content.rules:
        if level == "session" or level in rule.levels:
            numbers = CONDITIONS[rule.when](situation)
            if numbers is not None:
                return rule, numbers
    return None


def _after(before: Progress, record: Record, decision: Decision, book: RuleBook) -> Progress:
    """The decision put into effect, and the streaks counted on."""
    trained = bool(record.sets_done)
    situation = read(before, record, book, "session")
    unchanged = decision.load == record.rungs.step
    ready = before.ready_sessions + 1 if situation.ready and decision.move in ("hold", "progress") else 0
    under = before.under_sessions + 1 if situation.under_performed else 0
    pain_now = record.answer(step_names.PAIN_NOW)
    return before.model_copy(
        update={
            "load": decision.load,
            "repetitions": decision.repetitions,
            "status": decision.status,
            "ready_sessions": ready if unchanged else 0,
            "under_sessions": (under if unchanged else 0) if trained else before.under_sessions,
            "sessions": before.sessions + trained,
            "first_session": before.first_session or (record.started if trained else None),
            "last_session": record.started if trained else before.last_session,
            "pain_before_last": pain_now if trained and isinstance(pain_now, int) else before.pain_before_last,
            "decision": decision,
        }
    )


def _signed(progress: Progress, sign_off: SignOff, prescription: Prescription) -> Progress:
    """A word of the therapist put into effect: only this leaves review, only this changes the position."""
    if sign_off.what == "end_review":
        return progress.model_copy(update={"status": "active"})
    return progress.model_copy(
        update={
            "status": "active",
            "position_deg": sign_off.position_deg,
            "load": None,
            "repetitions": prescription.dose.repetitions_min,
            "ready_sessions": 0,
            "under_sessions": 0,
        }
    )

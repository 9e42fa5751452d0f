"""The state machine: progress and a record in; the next progress and the decision with its reason out."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from coach.model.content_entries import Level, Rule
from coach.model.instruction import Instruction
from coach.model.load_step import LoadStep
from coach.model.measured.tempo_kept import MeasuredFault
from coach.model.prescription import Prescription
from coach.model.progress import PendingInstruction, Progress
from coach.model.record import Answered, Decision, Record, Status
from coach.progression.apply_decision import apply_decision, apply_other_exercise, progress_at_record
from coach.progression.apply_instructions import apply_instruction, instructions_in_force
from coach.progression.check_in_conditions import Numbers
from coach.progression.decision_messages import client_message, decision_reason, rounded_nm, therapist_message
from coach.progression.effects import EFFECTS, STOPPING, Outcome, immediate_load
from coach.progression.facts import SessionFacts, extract_facts
from coach.progression.measured.veto import Vetoes, measured_against, vetoed
from coach.progression.programme.causal_order import place
from coach.progression.rule_book import RuleBook
from coach.progression.session_conditions import CONDITIONS


class ImmediateAction(Struct, frozen=True):
    """What a rule asks for within the session: stop, or continue with less load; `sentence` is for the client."""

    rule: Rule
    stops: bool
    load: LoadStep | None
    sentence: str
    share: float | None = None  # of the mean torque at the start: the most that the load may have after a long gap


class JudgedRecord(Struct, frozen=True):
    """A record with its decision and the progress before and after it.

    `veto` is what holds in place of the decision since a sensor measured a fault.
    """

    record: Record
    before: Progress
    decision: Decision
    after: Progress
    veto: Decision | None = None


def immediate_action(
    before: Progress, record: Record, book: RuleBook, level: Level, number: int = 0
) -> ImmediateAction | None:
    """What the rules ask for during a session.

    `level` is "check_in", or "set" for the rules of set `number`. None where no rule matches.
    """
    facts = extract_facts(before, record, book, level, number)
    match = _first_match(facts, book, level)
    if match is None:
        return None
    rule, numbers = match
    return ImmediateAction(
        rule=rule,
        stops=rule.then in STOPPING,
        load=immediate_load(rule.then, facts),
        sentence=client_message(rule, numbers, book),
        share=facts.gap_share if rule.then == "after_gap_now" else None,
    )


def matching_rules(
    before: Progress, record: Record, book: RuleBook, level: Level, number: int = 0
) -> tuple[str, ...]:
    """The names of all rules that match at a level, not only the one that decides."""
    facts = extract_facts(before, record, book, level, number)
    return tuple(rule.name for rule in book.rules_at(level) if CONDITIONS[rule.when](facts) is not None)


def with_choice_counted(record: Record) -> Record:
    """An open record with what was chosen and neither confirmed nor taken back as an answer; else unchanged.

    Such a choice would stop the session. Whoever leaves it unanswered may need help, so it counts. A slip is put
    right by the client before leaving, or by the therapist.
    """
    chosen = record.unconfirmed
    if chosen is None or record.ended is not None:
        return record
    return record.with_entry(Answered(at=chosen.at, step=chosen.step, value=chosen.value, exercise=chosen.exercise))


def decide(before: Progress, record: Record, book: RuleBook) -> Decision:
    """The decision of a whole session: the first rule that matches, in the order of the content.

    Rules marked to stand beside the decision are all evaluated: they add messages and may ask for a review. In an
    open record, what was chosen and not confirmed counts. Raises ValueError where no rule matches.
    """
    return _decide(extract_facts(before, with_choice_counted(record), book, "session"), book)


def _decide(facts: SessionFacts, book: RuleBook) -> Decision:
    before, record = facts.before, facts.record
    match = _first_match(facts, book, "session")
    if match is None:
        raise ValueError("no rule matched: the last rule of rules.toml must always match")
    rule, numbers = match
    outcome = EFFECTS[rule.then](facts)
    side = [(one, found) for one in book.side_rules if (found := CONDITIONS[one.when](facts)) is not None]
    return Decision(
        move=outcome.move,
        variable=outcome.variable,
        rule=rule.name,
        reason=" ".join(
            [
                decision_reason(rule, numbers, outcome, book),
                *(client_message(one, found, book) for one, found in side),
            ]
        ),
        source=rule.source,
        numbers={**numbers, "from_nm": rounded_nm(record.rungs.step), "to_nm": rounded_nm(outcome.load)},
        load=outcome.load,
        repetitions=outcome.repetitions,
        status=_status(before.status, outcome, [one for one, _ in side]),
        tell={one.name: therapist_message(one, found, book) for one, found in side},
    )


def initial_progress(
    prescription: Prescription, measured_on: Mapping[str, date] | None = None, name: str | None = None
) -> Progress:
    """The progress before the first session: first position, first load step, bottom of the repetition range.

    `measured_on` is when each band was measured, where that is known; `name` the exercise of the programme.
    """
    return Progress(
        name=name,
        exercise=prescription.exercise,
        position=prescription.positions[0],
        repetitions=prescription.dose_at(prescription.positions[0]).repetitions_min,
        repaired_on=prescription.repaired_on,
        prescribed_on=prescription.on,
        measured_on=dict(measured_on or {}),
    )


def advance(
    before: Progress, record: Record, book: RuleBook, measured: tuple[MeasuredFault, ...] = ()
) -> JudgedRecord:
    """Judge one record by the rules, whatever its closing entry says; an open one with what was chosen last.

    A record of another position or exercise than the current one does not change its load or streaks.
    """
    stood = _standing_at(before, record)
    facts = extract_facts(stood, with_choice_counted(record), book, "session", measured=measured)
    decision = _decide(facts, book)
    return JudgedRecord(record, stood, decision, apply_decision(before, facts, decision, book))


def replay(
    before: Progress, record: Record, book: RuleBook, measured: tuple[MeasuredFault, ...] = ()
) -> JudgedRecord:
    """Apply a record with the decision that its client was told; one without a closing entry is judged by `advance`.

    Rules, limits and prices of load steps may have changed since. What was told stays: an upgrade or an edit of the
    content never moves a client, and only later sessions are judged by it. A review lasts even so. `measured` are
    faults that a sensor saw, which let nothing rise.
    """
    if before.name is not None and record.name != before.name:
        return _other_exercise(before, record, book)
    if record.ended is None:
        return advance(before, record, book, measured)
    stood = _standing_at(before, record)
    decision = record.ended.decision
    facts = extract_facts(stood, record, book, "session", measured=measured)
    veto = vetoed(facts, decision, book)
    after = apply_decision(before, facts, veto or decision, book)
    if before.status == "review":
        after = after.model_copy(update={"status": "review"})
    return JudgedRecord(record, stood, decision, after, veto)


def _other_exercise(before: Progress, record: Record, book: RuleBook) -> JudgedRecord:
    """Apply a record of another exercise of the programme: only what belongs to the client changes."""
    stood = _standing_at(before, record)
    facts = extract_facts(stood, with_choice_counted(record), book, "session")
    decision = _decide(facts, book) if record.ended is None else record.ended.decision
    return JudgedRecord(record, stood, decision, apply_other_exercise(before, facts, decision, book))


def _standing_at(before: Progress, record: Record) -> Progress:
    stood = progress_at_record(before, record) if record.exercise_position != before.exercise_position else before
    same = stood.repetitions == record.repetitions
    return stood if same else stood.model_copy(update={"repetitions": record.repetitions})


class FoldStep(Struct, frozen=True):
    """The progress after one record or signed instruction; `judged` is None after an instruction."""

    progress: Progress
    judged: JudgedRecord | None


def fold_steps(
    prescription: Prescription,
    records: Iterable[Record],
    book: RuleBook,
    measured_on: Mapping[str, date] | None = None,
    name: str | None = None,
    vetoes: Vetoes = MappingProxyType({}),
) -> Iterator[FoldStep]:
    """Apply every record and signed instruction in their order, one step at a time (`causal_order`).

    Before format 2 that is the order of time. A record is ordered by its last entry: an instruction signed during a
    session comes before its decision, so it cannot end a review that began later. Of a record and an instruction of
    the same second the record comes first.
    `measured_on` and `name` are as in `initial_progress`; `vetoes` are the faults that a sensor measured.
    """
    done = tuple(records)
    signed, start = instructions_in_force(prescription, done), initial_progress(prescription, measured_on, name)
    yield from fold_on(start, prescription, done, signed, book, vetoes)


def fold_on(
    progress: Progress,
    prescription: Prescription,
    records: Iterable[Record],
    instructions: Iterable[Instruction],
    book: RuleBook,
    vetoes: Vetoes = MappingProxyType({}),
) -> Iterator[FoldStep]:
    """As `fold_steps`, from a progress on, with the records and instructions that it does not hold yet."""
    for placed in place(tuple(records), tuple(instructions), book):
        if isinstance(placed.event, Record):
            measured = measured_against(placed.event, vetoes)
            judged = replay(progress if placed.knew_all else _alone(progress), placed.event, book, measured)
            after = judged.after if placed.knew_all else _no_heavier(progress, judged.after)
            for restriction in placed.again:
                after = apply_instruction(after, restriction, prescription, book)
            progress = after
            yield FoldStep(progress, judged if after is judged.after else replace(judged, after=after))
        else:
            progress = _after_instruction(progress, placed.event, placed.pending, prescription, book)
            yield FoldStep(progress, None)


def _after_instruction(
    before: Progress, signed: Instruction, pending: bool, prescription: Prescription, book: RuleBook
) -> Progress:
    if pending:
        waits = PendingInstruction(at=signed.at, what=signed.what)
        return before.model_copy(update={"pending": (*before.pending, waits)})
    after = apply_instruction(before, signed, prescription, book)
    left = tuple(one for one in before.pending if one.what != signed.what)  # signed again, it counts
    return after.model_copy(update={"pending": left}) if before.pending else after


def _alone(before: Progress) -> Progress:
    """The progress that a session is judged by that did not know of another one: they make no streak together."""
    return before.model_copy(update={"ready_sessions": 0, "under_sessions": 0, "clean_sets": 0, "pace_sets": 0})


def _no_heavier(before: Progress, after: Progress) -> Progress:
    """After sessions that did not know of each other, the lighter load and the fewer repetitions count."""
    if before.exercise_position != after.exercise_position or before.load is None or after.load is None:
        return after
    lighter = min(before.load, after.load, key=lambda step: step.mean_nm)
    fewer = min(before.repetitions, after.repetitions)
    streak = after.ready_sessions if lighter == after.load else 0
    return after.model_copy(update={"load": lighter, "repetitions": fewer, "ready_sessions": streak})


def fold(
    prescription: Prescription, records: Iterable[Record], book: RuleBook, vetoes: Vetoes = MappingProxyType({})
) -> tuple[Progress, tuple[JudgedRecord, ...]]:
    """Apply every record and signed instruction in the order of `fold_steps`.

    Returns the present progress and each judged record.
    """
    steps = tuple(fold_steps(prescription, records, book, vetoes=vetoes))
    progress = steps[-1].progress if steps else initial_progress(prescription)
    return progress, tuple(step.judged for step in steps if step.judged is not None)


def _first_match(facts: SessionFacts, book: RuleBook, level: Level) -> tuple[Rule, Numbers] | None:
    for rule in book.rules_at(level):
        numbers = CONDITIONS[rule.when](facts)
        if numbers is not None:
            return rule, numbers
    return None


def _status(before: Status, outcome: Outcome, side: list[Rule]) -> Status:
    """A review lasts until the therapist ends it; "complete" until the load is lowered or a session stopped."""
    if before == "review" or any(rule.then == "then_review" for rule in side):
        return "review"
    if before == "complete" and outcome.status == "active" and outcome.move in ("hold", "progress"):
        return "complete"
    return outcome.status

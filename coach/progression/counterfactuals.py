"""What would have changed a decision: the rules are run again with one thing different at a time."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import timedelta

from msgspec import Struct
from msgspec.structs import replace

from coach.model import step_names
from coach.model.record import Answered, Decision, Ended, LoadChanged, Record, SetDone
from coach.progression.check_in_conditions import long_gap
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord, advance, decide

# More clean sessions in a row than this are no longer called near.
_MOST_SESSIONS = 8
_DAYS_BETWEEN = 2


class Counterfactual(Struct, frozen=True):
    """One change by its name in the history's messages, the number of sessions it takes, and the decision then."""

    change: str
    sessions: int
    decision: Decision


def counterfactuals(judged: JudgedRecord, book: RuleBook) -> tuple[Counterfactual, ...]:
    """The changes that would have led to another decision.

    Empty after a stop, and where the client has moved to another position since: no session there has an effect here.
    """
    if judged.decision.move == "stop" or judged.record.exercise_position != judged.after.exercise_position:
        return ()
    judged = replace(
        judged, decision=decide(judged.before, judged.record, book)
    )  # the told one may be of older rules
    found = tuple(_different(judged, book))
    more = _more_sessions(judged, book)
    return (*found, *([more] if more is not None else []))


def _different(judged: JudgedRecord, book: RuleBook) -> Iterator[Counterfactual]:
    """Each single change that alters the decision; where none does, all of them together."""
    single = [Counterfactual(name, 1, decide(judged.before, change(judged, book), book)) for name, change in _CHANGES]
    led = [one for one in single if _differs(one.decision, judged.decision)]
    if led:
        yield from led
        return
    whole = judged
    for _, change in _CHANGES:
        whole = replace(whole, record=change(whole, book))
    decision = decide(judged.before, whole.record, book)
    if _differs(decision, judged.decision):
        yield Counterfactual("all", 1, decision)


def _more_sessions(judged: JudgedRecord, book: RuleBook) -> Counterfactual | None:
    """How many more clean sessions at the same load change something; None where more than eight would be needed."""
    if judged.decision.load != judged.record.rungs.step:
        return None
    progress, record = judged.after, judged.record
    for number in range(1, _MOST_SESSIONS + 1):
        at = record.started + timedelta(days=_DAYS_BETWEEN * number)
        repeated = record.model_copy(update={"started": at, "repetitions": progress.repetitions, "entry": ()})
        made = advance(progress, _clean(repeated, book), book)
        led = made.decision.move, made.decision.status
        if made.decision.variable is not None or led != ("hold", judged.decision.status):
            return Counterfactual("more_sessions", number, made.decision)
        progress = made.after
    return None


def _differs(one: Decision, other: Decision) -> bool:
    """Whether the client would have another load, other repetitions or another status."""
    return (one.load, one.repetitions, one.status) != (other.load, other.repetitions, other.status)


def _clean(record: Record, book: RuleBook) -> Record:
    """The record as a session without fault or pain, every set done, with two repetitions in reserve."""
    at, numbers = record.started, _numbers(record)
    answers: dict[str, int | str] = {step_names.PAIN_NOW: 0, step_names.SIGN: "none"}
    answers |= _clean_form(record, numbers, book) | _no_pain(numbers)
    answers[step_names.in_set(record.dose.sets, step_names.TWO_MORE)] = "yes"
    answered = (Answered(at=at, step=step, value=value) for step, value in answers.items())
    return record.model_copy(update={"entry": (*_sets_at_goal(record), *answered)})


def _numbers(record: Record) -> range:
    return range(1, record.dose.sets + 1)


def _sets_at_goal(record: Record) -> tuple[SetDone, ...]:
    at, goal = record.started, record.repetitions
    return tuple(
        SetDone(at=at, number=number, repetitions=goal, under_load_s=0, end="done") for number in _numbers(record)
    )


def _no_pain(numbers: Iterable[int]) -> dict[str, int | str]:
    return {step_names.in_set(number, step_names.PAIN): 0 for number in numbers}


def _clean_form(record: Record, numbers: Iterable[int], book: RuleBook) -> dict[str, int | str]:
    """Every form question of these sets, answered without a fault."""
    return {one.step: "never" for number in numbers for one in book.asked_in_set(record, number)}


def _answered(record: Record, answers: Mapping[str, int | str], *, drop_load_changes: bool = False) -> Record:
    """The record with these answers in place; `drop_load_changes` removes the step down that other answers led to."""
    entries = [
        one for one in record.entry if not isinstance(one, Ended | LoadChanged if drop_load_changes else Ended)
    ]
    at = record.last_at
    new = [Answered(at=at, step=step, value=value) for step, value in answers.items()]
    return record.model_copy(update={"entry": (*entries, *new)})


def _clean_form_in(judged: JudgedRecord, book: RuleBook) -> Record:
    record = judged.record
    begun = sorted({done.number for done in record.sets_done})
    return _answered(record, _clean_form(record, begun, book), drop_load_changes=True)


def _whole_sets(judged: JudgedRecord, book: RuleBook) -> Record:
    """Every set done at the goal; those that were missing, without fault or pain."""
    record = judged.record
    done = {one.number for one in record.sets_done}
    missing = [number for number in _numbers(record) if number not in done]
    answered = _answered(record, _clean_form(record, missing, book) | _no_pain(missing))
    others = [one for one in answered.entry if not isinstance(one, SetDone)]
    return answered.model_copy(update={"entry": (*_sets_at_goal(record), *others)})


def _two_more(judged: JudgedRecord, _: RuleBook) -> Record:
    step = step_names.in_set(judged.record.sets_today, step_names.TWO_MORE)
    return _answered(judged.record, {step: "yes"})


def _settled(judged: JudgedRecord, _: RuleBook) -> Record:
    """Pain settled within hours after the last session, and no higher than usual at the check-in."""
    usual, record = judged.before.usual_pain, judged.record
    now, settled = record.answer(step_names.PAIN_NOW), record.answer(step_names.SETTLED)
    answers: dict[str, int | str] = {}
    if settled is not None and settled != "hours":
        answers[step_names.SETTLED] = "hours"
    if usual is not None and isinstance(now, int) and now > usual:
        answers[step_names.PAIN_NOW] = usual
    return _answered(record, answers, drop_load_changes=True) if answers else record


def _no_gap(judged: JudgedRecord, book: RuleBook) -> Record:
    """The session two days after the last one, where it came after a gap."""
    last, record = judged.before.last_session, judged.record
    if last is None or book.rules_by_name[judged.decision.rule].when != long_gap.__name__:
        return record
    return _answered(
        record.model_copy(update={"started": last + timedelta(days=_DAYS_BETWEEN)}), {}, drop_load_changes=True
    )


_CHANGES: tuple[tuple[str, Callable[[JudgedRecord, RuleBook], Record]], ...] = (
    ("clean_form", _clean_form_in),
    ("whole_sets", _whole_sets),
    ("two_more", _two_more),
    ("settled", _settled),
    ("no_gap", _no_gap),
)

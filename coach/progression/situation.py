"""A record read as facts: what the rules look at, and nothing else."""

from collections.abc import Mapping
from dataclasses import dataclass

from coach.model import step_names
from coach.model.content import Fault, Level
from coach.model.progress import Progress
from coach.model.record import Record, SetDone
from coach.progression.rule_book import RuleBook

EQUIPMENT = "equipment"
ACHE = "ache"


@dataclass(frozen=True)
class SetFacts:
    """One set: how many repetitions, which faults were named, and what stayed unknown."""

    number: int
    repetitions: int
    whole: bool
    faults: tuple[Fault, ...]
    not_sure: int
    unanswered: int
    too_heavy: Fault | None

    def clean(self, goal: int, not_sure_allowed: float) -> bool:
        """Done at the goal, with no fault named and nothing unknown beyond what is allowed."""
        unknown = self.not_sure > not_sure_allowed or self.unanswered > 0
        return self.whole and self.repetitions >= goal and not self.faults and not unknown


@dataclass(frozen=True)
class Situation:
    """Where the client stood, what was asked, and the facts of one level of the session."""

    before: Progress
    record: Record
    limits: Mapping[str, float]
    sets: tuple[SetFacts, ...]
    sign: str | None
    equipment: str | None
    pain: int | None

    @property
    def goal(self) -> int:
        """Repetitions asked of every set."""
        return self.record.repetitions

    @property
    def sets_missing(self) -> int:
        """Sets that were prescribed and not done to their end."""
        return self.record.dose.sets - sum(1 for done in self.sets if done.whole)

    @property
    def all_clean(self) -> bool:
        """Every prescribed set done at the goal, clean, with the unknown counted over the whole session."""
        allowed = self.limits["not_sure_allowed"]
        not_sure = sum(done.not_sure for done in self.sets)
        clean = all(done.clean(self.goal, allowed) for done in self.sets)
        return clean and self.sets_missing <= 0 and not_sure <= allowed

    @property
    def two_more(self) -> bool:
        """The client said after the last set that two more clean repetitions were left."""
        return self.record.answer(step_names.in_set(self.record.dose.sets, step_names.TWO_MORE)) == "yes"

    @property
    def ready(self) -> bool:
        """Every set clean at the top of the range, with two more left: half of what a heavier load needs."""
        return self.all_clean and self.two_more and self.goal >= self.record.dose.repetitions_max

    @property
    def under_performed(self) -> bool:
        """A set below the bottom of the repetition range."""
        return any(done.repetitions < self.record.dose.repetitions_min for done in self.sets)


def read(before: Progress, record: Record, book: RuleBook, level: Level, number: int = 0) -> Situation:
    """The facts of a level: the check-in alone, the set with this number alone, or the whole session."""
    numbers = {"check_in": (), "set": (number,), "session": tuple(range(1, record.dose.sets + 1))}[level]
    asked = book.asked(record.exercise, record.position_deg)
    troubles = _troubles(record, numbers)
    signs = [name for name in troubles if name not in (EQUIPMENT, ACHE)]
    failed = [name for name in book.stopping_checks if record.answer(step_names.check(name)) == "no"]
    return Situation(
        before=before,
        record=record,
        limits=book.limits(record.limits),
        sets=tuple(_set_facts(done, record, book, asked) for done in record.sets_done if done.number in numbers),
        sign=signs[0] if signs else None,
        equipment=EQUIPMENT if EQUIPMENT in troubles else next(iter(failed), None),
        pain=_worst_pain(record, numbers, with_check_in=level != "set"),
    )


def _troubles(record: Record, numbers: tuple[int, ...]) -> tuple[str, ...]:
    """What was named when something was wrong, at the check-in or in one of these sets."""
    steps = [step_names.SIGN, *(step_names.in_set(number, step_names.TROUBLE) for number in numbers)]
    answers = (record.answer(step) for step in steps)
    return tuple(str(answer) for answer in answers if answer is not None and answer != "none")


def _worst_pain(record: Record, numbers: tuple[int, ...], with_check_in: bool) -> int | None:
    """The highest pain reported in these sets, and at the check-in if that counts; None where none was."""
    steps = [step_names.PAIN_NOW] if with_check_in else []
    for number in numbers:
        steps += [step_names.in_set(number, step_names.PAIN), step_names.in_set(number, step_names.TROUBLE_PAIN)]
    reported = [answer for answer in map(record.answer, steps) if isinstance(answer, int)]
    return max(reported, default=None)


def _set_facts(done: SetDone, record: Record, book: RuleBook, asked: tuple[str, ...]) -> SetFacts:
    """One set as the form answers tell it."""
    faults: list[Fault] = []
    too_heavy: Fault | None = None
    answers = {name: record.answer(step_names.in_set(done.number, name)) for name in asked}
    for question in (book.content.questions[name] for name in asked):
        if answers[question.name] != question.fault_answer:
            continue
        faults.append(question.fault)
        often = question.follow_up and record.answer(step_names.in_set(done.number, question.follow_up))
        if often == "yes" and too_heavy is None:
            too_heavy = question.fault
    return SetFacts(
        number=done.number,
        repetitions=done.repetitions,
        whole=done.end == "done",
        faults=tuple(faults),
        not_sure=list(answers.values()).count("not_sure"),
        unanswered=list(answers.values()).count(None),
        too_heavy=too_heavy,
    )

"""Facts of the sets: what was done and answered in each, and how long ago each form question was asked."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from coach.model import step_names
from coach.model.base import Name
from coach.model.content_entries import Fault
from coach.model.progress import Progress
from coach.model.record import Record, SetDone
from coach.progression.rule_book import RuleBook


class SetFacts(Struct, frozen=True):
    """One set: its repetitions, the faults reported, and the questions answered "not sure" or not at all.

    `answered` are the form questions that were answered, whatever was said.
    """

    number: int
    repetitions: int
    whole: bool
    halted: bool
    faults: tuple[Fault, ...]
    not_sure: int
    unanswered: int
    too_heavy: Fault | None
    answered: tuple[Name, ...]

    @property
    def clean_form(self) -> bool:
        """At least one repetition, no fault and nothing unknown, however few repetitions were done."""
        return self.repetitions > 0 and not (self.faults or self.not_sure or self.unanswered)

    def clean(self, goal: int) -> bool:
        """Done at the goal, with no fault named and every question answered."""
        return self.whole and self.repetitions >= goal and not self.faults and not self.unanswered


def form_asked(
    before: Progress, record: Record, done: Sequence[SetFacts], book: RuleBook
) -> Mapping[str, int | None]:
    """For each form question of the position, sessions since it was answered; None where it never was.

    `done` are all sets of the record. Questions that come later are among them once their fault was shown.
    """
    asked = {name for one in done for name in one.answered}
    if record.own_tempo is not None:  # measured, so it need not be asked
        asked |= {name for name, question in book.content.questions.items() if question.wrong == "too_fast"}
    shown = {*before.taught.get(record.exercise, ()), *record.taught}
    later = book.content.exercise(record.exercise).position(record.position).later
    found: dict[str, int | None] = {}
    for name in book.form_questions(record):
        if name in later and book.content.questions[name].fault not in shown:
            continue
        earlier = before.form_asked.get(name)
        found[name] = 0 if name in asked else None if earlier is None else earlier + bool(done)
    return found


def facts_of_set(done: SetDone, record: Record, book: RuleBook) -> SetFacts:
    """The facts of one set from its form answers."""
    answers = record.answers
    faults: list[Fault] = []
    too_heavy: Fault | None = None
    answered: list[Name] = []
    pain = answers.get(step_names.in_set(done.number, step_names.PAIN))
    not_sure, unanswered = int(pain == "not_sure"), int(pain is None)
    for one in book.asked_in_set(record, done.number):
        answer = answers.get(one.step)
        if answer is not None:
            answered.append(one.question.name)
        if answer == "never":  # as most are
            continue
        often = one.question.how_often(answer, answers.get(one.often) if one.often else None)
        not_sure += often == "not_sure"
        unanswered += often is None
        if often not in (None, "never", "not_sure"):
            faults.append(one.question.fault)
            if too_heavy is None and one.question.overload and often == "more_than_once":
                too_heavy = one.question.fault
    return SetFacts(
        number=done.number,
        repetitions=done.repetitions,
        whole=done.end == "done",
        halted=done.end == "halted",
        faults=tuple(faults),
        not_sure=not_sure,
        unanswered=unanswered,
        too_heavy=too_heavy,
        answered=tuple(answered),
    )

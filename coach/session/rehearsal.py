"""A session gone through without anyone: the very runner, with a made-up clock and answers from a table.

For the therapist's "what if", for the histories of the demo profiles, and for the tests.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from coach.model.answers import Answers
from coach.model.record import Ended, Record
from coach.session.choices import choices
from coach.session.plan import Plan, open_record, script_of
from coach.session.runner import Present, State, answer, begin, go_on, stop_set, tick
from coach.session.script import Ask, Work

# What a clean session without pain answers; every form question is clean at the answer that is no fault.
_CLEAN: Mapping[str, int | str] = {"zero_to_ten": 0, "sign": "none", "yes_no": "yes", "yes_no_not_sure": "no"}


# More steps than any session has: answers that never lead to its end are found out.
_MOST_STEPS = 1000


def rehearse(plan: Plan, answers: Answers, at: datetime) -> tuple[Record, Ended]:
    """The whole session with these answers. ValueError names an answer that a question does not take."""
    record = open_record(plan, at)
    now = Present(0.0, at)
    state = begin(plan, script_of(plan, record), record, now)
    for _ in range(_MOST_STEPS):
        now = _later(state, answers, at, now)
        state = _act(state, answers, now)
        if state.record.ended is not None:
            return state.record, state.record.ended
    raise ValueError(f"{state.step.name} is never left with these answers: a check answered no is asked again")


def _later(state: State, answers: Answers, at: datetime, now: Present) -> Present:
    """The time at which the present step is through: no tick is missed, because nothing counts ticks."""
    s = now.s + _seconds(state, answers)
    return Present(s, at + timedelta(seconds=round(s)))


def _seconds(state: State, answers: Answers) -> float:
    step = state.step
    wanted = answers.repetitions.get(str(step.number)) if isinstance(step, Work) else None
    if isinstance(step, Work) and wanted is not None and wanted < step.time.repetitions:
        return step.time.count_in_s + wanted * step.time.repetition_s
    return step.seconds


def _act(state: State, answers: Answers, now: Present) -> State:
    question = state.question
    if question is not None:
        return answer(state, _answer_to(question, state.plan, answers), now)
    seen = tick(_watched(state, now), now)
    if seen.index != state.index or seen.over:
        return seen
    return stop_set(seen, now) if isinstance(seen.step, Work) else go_on(seen, now)


def _watched(state: State, now: Present) -> State:
    """The state as if a screen had looked all the while, so that no gap is seen."""

    return replace(state, seen_s=now.s)


def _answer_to(question: Ask, plan: Plan, answers: Answers) -> int | str:
    """The answer given for this step, else for this question, else the clean one."""
    given = answers.answer.get(question.name, answers.answer.get(question.question))
    value = clean_answer(question, plan) if given is None else given
    allowed = [choice.value for choice in choices(question, plan.content.signs)]
    if value not in allowed:
        raise ValueError(f"{question.name} does not take {value!r}: answer one of {', '.join(map(str, allowed))}")
    return value


def clean_answer(question: Ask, plan: Plan) -> int | str:
    """The answer of a session without fault or pain, with two repetitions to spare."""
    form = plan.content.questions.get(question.question)
    if form is not None:
        return "no" if form.fault_answer == "yes" else "yes"
    return "yes" if question.question == "two_more" else _CLEAN[question.scale]

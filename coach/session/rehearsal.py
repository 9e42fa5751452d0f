"""A session gone through with answers from a table: the very runner, and nothing kept.

For the therapist's "what if", for a rehearsal on the screens, for the histories of the demo profiles, and for the
tests.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.record import Answered, Ended, Record
from coach.session.answer_keys import choices
from coach.session.interruptions import fewer_sets, other_band, skip_set, trouble
from coach.session.plan import Plan, open_record, script_of
from coach.session.runner import answer, begin, go_on, stop_set, tick
from coach.session.script import Ask, Rest, SetupAgain, Work, set_of
from coach.session.state import Present, State

_Key = Callable[[State, Present], State]

# What a clean session without pain answers; every form question is clean at the answer that is no fault.
_CLEAN: Mapping[str, int | str] = {"zero_to_ten": 0, "sign": "none", "yes_no": "yes", "yes_no_not_sure": "no"}
_AT_BEST: Mapping[str, int | str] = {
    step_names.TWO_MORE: "yes",
    step_names.ACTIVITY: 10,
    "settled": "hours",
    "gap": "nothing",
    "relief": "none",
}

# Where the answers do not say after how many repetitions the pain key is pressed.
_FIRST_HURTS = 1

# More steps than any session has: answers that never lead to its end are found out.
_MOST_STEPS = 1000


def rehearsed(plan: Plan, speed: float) -> Plan:
    """The plan as a rehearsal, whose time runs `speed` times as fast: a gap of its time is as much longer."""
    gap_s = plan.limits["gap_s"] * max(1.0, speed)
    return replace(plan, rehearsal=True, limits={**plan.limits, "gap_s": gap_s})


def rehearse(plan: Plan, answers: Answers, at: datetime) -> tuple[Record, Ended]:
    """The whole session with these answers. ValueError names an answer that a question does not take."""
    for state in states(first_state(plan, at), answers):
        if state.record.ended is not None:
            return state.record, state.record.ended
    raise ValueError(f"{state.step.name} is never left with these answers: a check answered no is asked again")


def first_state(plan: Plan, at: datetime) -> State:
    """A session just begun."""
    record = open_record(plan, at)
    return begin(plan, script_of(plan, record), record, Present(0.0, at))


def states(state: State, answers: Answers) -> Iterator[State]:
    """What these answers make of a session from a state on, to its end or to where they lead nowhere any more."""
    at, s = state.record.started, state.seen_s
    for _ in range(_MOST_STEPS):
        due = due_s(state, answers)
        if due is None and state.asking is not None:
            raise ValueError(f"{state.asking.name} is asked, and the answers do not say it")
        s = whole_ms(s + (state.step.seconds if due is None else due))
        # A whole millisecond at or just after: what ends then has ended, whatever the last digits of a float.
        now = Present(s, at + timedelta(seconds=round(s)))
        # As if a screen had looked all the while, so that no gap is seen.
        state = tick(state._replace(seen_s=s), now) if due is None else act(state, answers, now)
        yield state
        if state.over:
            return


def whole_ms(s: float) -> float:
    """Seconds rounded up to whole milliseconds."""
    return math.ceil(round(s * 1000, 6)) / 1000


def due_s(state: State, answers: Answers) -> float | None:
    """After how many seconds at the present step the answers say something; None where time alone leads on.

    None as well where the session stands still by a key that no answer pressed: then a hand must lead on.
    """
    question, step = state.question, state.step
    if question is None and _said_what_hurt(state, answers):
        return state.plan.limits["question_s"]
    if state.over or (state.paused and question is None):
        return None
    if question is not None:
        return question.seconds if _given(question, answers) is not None or state.asking is None else None
    if _pressed(state, answers) is not None:
        return 0.0
    if isinstance(step, Work):
        wanted = _repetitions_until(step, state, answers)
        return None if wanted is None else step.time.count_in_s + wanted * step.time.repetition_s
    return None if isinstance(step, Rest) else step.seconds


def act(state: State, answers: Answers, now: Present) -> State:
    """What the answers say at this step: an answer, a key, or that what was read is left."""
    if state.question is not None:
        return answer(state, _answer_to(state.question, state.plan, answers), now)
    if isinstance(state.step, Work) and not state.paused:
        return trouble(state, now) if _hurts(state.step, state, answers) else stop_set(state, now)
    pressed = _pressed(state, answers)
    if pressed is None:
        return go_on(state, now)
    asks, key = pressed
    asking = key(state, now)
    if asking.asking is None:
        raise ValueError(f"{asks} cannot be answered: there is nothing to choose from today")
    return asking


def _pressed(state: State, answers: Answers) -> tuple[str, _Key] | None:
    """The question that the answers name and the key that brings it, at the step for it; None where there is none."""
    number = set_of(state.step) if isinstance(state.step, Rest | SetupAgain) else 1
    keys: Mapping[str, tuple[str, _Key]] = {
        step_names.TODAY: (step_names.SETS_TODAY, fewer_sets),
        step_names.PLACE: (step_names.OTHER_BAND, other_band),
        step_names.REACH: (step_names.in_set(1, step_names.SKIP), skip_set),
        step_names.in_set(number, "rest"): (step_names.in_set(number, step_names.SKIP), skip_set),
    }
    pressed = keys.get(state.step.name)
    if pressed is None or pressed[0] not in answers.answer or state.record.answer(pressed[0]) is not None:
        return None
    return pressed


def _repetitions_until(work: Work, state: State, answers: Answers) -> int | None:
    """How many more repetitions until the answers have their next word in a set; None where it is gone through."""
    wanted = answers.repetitions.get(str(work.number))
    if _hurts(work, state, answers):
        return _FIRST_HURTS if wanted is None else wanted
    return None if wanted is None or wanted >= work.time.repetitions else max(0, wanted - state.whole)


def _hurts(work: Work, state: State, answers: Answers) -> bool:
    """Whether the pain key is still to be pressed in this set."""
    step = step_names.in_set(work.number, step_names.TROUBLE)
    return step in answers.answer and state.record.answer(step) is None


def _said_what_hurt(state: State, answers: Answers) -> bool:
    """Whether a set stands still because of what the answers said to the pain key, and they go on by themselves."""
    if not isinstance(state.step, Work) or not state.paused or state.over:
        return False
    last, step = state.record.entry[-1], step_names.in_set(state.step.number, step_names.TROUBLE)
    return step in answers.answer and isinstance(last, Answered) and last.step.startswith(step)


def _given(question: Ask, answers: Answers) -> int | str | None:
    return answers.answer.get(question.name, answers.answer.get(question.question))


def _answer_to(question: Ask, plan: Plan, answers: Answers) -> int | str:
    """The answer given for this step, else for this question, else the clean one."""
    given = _given(question, answers)
    if given is None:
        return clean_answer(question, plan)
    allowed = [choice.value for choice in choices(question, plan.content.signs)]
    if given not in allowed:
        raise ValueError(f"{question.name} does not take {given!r}: answer one of {', '.join(map(str, allowed))}")
    return given


def clean_answer(question: Ask, plan: Plan) -> int | str:
    """The answer of a session without fault or pain, with two repetitions to spare."""
    form = plan.content.questions.get(question.question)
    if form is not None:
        return form.clean_answer
    return _AT_BEST.get(question.question, _CLEAN[question.scale])

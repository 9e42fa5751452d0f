"""Sessions run with prepared answers, by the same runner as a real one; nothing is saved.

Used by the therapist's "what if", rehearsals on the screens, the histories of the demo profiles, and the tests.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from msgspec.structs import replace

from coach.model import step_names
from coach.model.programme.session_file import SessionFile
from coach.model.programme.written import Written
from coach.model.record import Answered, Ended, Record
from coach.session.answer_keys import choices
from coach.session.interruptions import change_band, fewer_sets, report_trouble, skip_set
from coach.session.next_exercise import next_exercise, open_session_file
from coach.session.plan import Plan, open_record, script_of
from coach.session.runner import answer, go_on, stop_set, tick
from coach.session.script import Ask, Rest, Trial, Work
from coach.session.state import Instant, State
from coach.session.transitions import begin

if TYPE_CHECKING:
    from coach.model.answers_file import Answers

_Key = Callable[[State, Instant], State]

# The answers of a clean session without pain; no fault ever happens.
_CLEAN: Mapping[str, int | str] = {
    "zero_to_ten": 0,
    "sign": "none",
    "yes_no": "yes",
    "yes_no_not_sure": "no",
    "how_often": "never",
}
_AT_BEST: Mapping[str, int | str] = {
    step_names.TWO_MORE: "yes",
    step_names.ACTIVITY: 10,
    "settled": "hours",
    "gap": "nothing",
    "relief": "none",
}

# The pain key is pressed after so many repetitions if the answers do not say when.
_FIRST_HURTS = 1

# More steps than any session has, so that answers that never reach its end are detected.
_MOST_STEPS = 1000


def rehearsal_plan(plan: Plan, speed: float) -> Plan:
    """The plan as a rehearsal with a clock `speed` times as fast; limits on the client's absence grow with it."""
    absence = {name: plan.limits[name] * max(1.0, speed) for name in ("gap_s", "ask_again_min")}
    return replace(plan, rehearsal=True, limits={**plan.limits, **absence})


def rehearse(plan: Plan, answers: "Answers", at: datetime) -> tuple[Record, Ended]:
    """Run the whole session with these answers; returns the record and its closing entry.

    Raises ValueError if a question does not take its answer, or if the session never ends with these answers.
    """
    for state in rehearsed_states(first_state(plan, at), answers):
        if state.record.ended is not None:
            return state.record, state.record.ended
    raise ValueError(f"{state.step.name} is never left with these answers: a check answered no is asked again")


def rehearse_programme(
    plans: Sequence[Plan], answers: "Answers", at: datetime, written: Written | None = None
) -> SessionFile:
    """Run a session of several exercises, in order, with these answers for each of them; returns the whole session.

    Raises ValueError as `rehearse`.
    """
    *_, last = programme_states(plans, answers, at, written)
    return last.file_session


def programme_states(
    plans: Sequence[Plan], answers: "Answers", at: datetime, written: Written | None = None
) -> Iterator[State]:
    """The states of a session of several exercises from its first to its end. Raises ValueError as `rehearse`."""
    session = open_session_file(plans, at, written)
    first, record = plans[0], session.record(session.exercises[0])
    script, now = script_of(first, record), Instant(0.0, at)
    state = begun = begin(first, script, record, now, session, tuple(plans[1:]))
    yield begun
    for state in rehearsed_states(begun, answers):
        yield state
    if not state.over or state.another_follows:
        raise ValueError(f"{state.step.name} is never left with these answers: a check answered no is asked again")


def first_state(plan: Plan, at: datetime) -> State:
    """The state at the start of a session."""
    record = open_record(plan, at)
    return begin(plan, script_of(plan, record), record, Instant(0.0, at))


def rehearsed_states(state: State, answers: "Answers") -> Iterator[State]:
    """The states of a session from `state` on, to its end or until the answers make no more progress.

    Raises ValueError if a question does not take its answer, or if a question of the pain key has none.
    """
    at, s = state.record.started, state.seen_s
    for _ in range(_MOST_STEPS):
        due = seconds_to_answer(state, answers)
        if due is None and state.asking is not None:
            raise ValueError(f"{state.asking.name} is asked, and the answers do not say it")
        s = rounded_up_to_ms(s + (state.step.seconds if due is None else due))
        # Rounded up, so that what ends at this time has ended despite rounding errors.
        now = Instant(s, at + timedelta(seconds=round(s)))
        # As if a screen had been updated all the time, so that no gap is found.
        state = tick(state._replace(seen_s=s), now) if due is None else apply_answers(state, answers, now)
        yield state
        if state.over and not state.another_follows:
            return


def rounded_up_to_ms(s: float) -> float:
    """Seconds rounded up to whole milliseconds."""
    return math.ceil(round(s * 1000, 6)) / 1000


def seconds_to_answer(state: State, answers: "Answers") -> float | None:
    """Seconds at this step until the answers have something to do; None if only time has to pass.

    Also None if a key that is not among the answers paused the session: a person has to continue it.
    """
    answers, question, step = answers.of(state.plan.name), state.question, state.step
    if state.another_follows:
        return state.plan.limits["reading_s"]
    if question is None and _reported_pain(state, answers):
        return state.plan.limits["question_s"]
    if state.over or (state.paused and question is None):
        return None
    if question is not None:
        prepared = prepared_answer(question, state.plan, answers)
        return question.seconds if prepared is not None or state.asking is None else None
    if _key_to_press(state, answers) is not None:
        return 0.0
    if isinstance(step, Work):
        wanted = _repetitions_until(step, state, answers)
        return None if wanted is None else step.time.count_in_s + wanted * step.time.repetition_s
    if isinstance(step, Trial):
        return step.right_s if answers.trial_s is None or state.watch.since_s is None else answers.trial_s
    return None if isinstance(step, Rest) else step.seconds


def apply_answers(state: State, answers: "Answers", now: Instant) -> State:
    """Do what the answers say at this step: answer a question, press a key, or go on."""
    answers = answers.of(state.plan.name)
    if state.another_follows:
        return next_exercise(state, now)
    if state.question is not None:
        return answer(state, _answer_to(state.question, state.plan, answers), now)
    if isinstance(state.step, Work) and not state.paused:
        return report_trouble(state, now) if _hurts(state.step, state, answers) else stop_set(state, now)
    pressed = _key_to_press(state, answers)
    if pressed is None:
        return go_on(state, now)
    asked, key = pressed
    asking = key(state, now)
    if asking.asking is None:
        raise ValueError(f"{asked} cannot be answered: there is nothing to choose from today")
    return asking


def _key_to_press(state: State, answers: "Answers") -> tuple[str, _Key] | None:
    """The answered question that a key brings up at this step, with that key; None if there is none."""
    number = state.set_number
    keys: Mapping[str, tuple[str, _Key]] = {
        step_names.TODAY: (step_names.SETS_TODAY, fewer_sets),
        step_names.PLACE: (step_names.OTHER_BAND, change_band),
        step_names.REACH: (step_names.in_set(number, step_names.SKIP), skip_set),
        step_names.in_set(number, "rest"): (step_names.in_set(number, step_names.SKIP), skip_set),
    }
    pressed = keys.get(state.step.name)
    if pressed is None or pressed[0] not in answers.answer or state.record.answer(pressed[0]) is not None:
        return None
    return pressed


def _repetitions_until(work: Work, state: State, answers: "Answers") -> int | None:
    """Repetitions until the answers stop the set or report pain; None if the set is completed."""
    wanted = answers.repetitions.get(str(work.number))
    if _hurts(work, state, answers):
        return _FIRST_HURTS if wanted is None else wanted
    return None if wanted is None or wanted >= work.time.repetitions else max(0, wanted - state.whole)


def _hurts(work: Work, state: State, answers: "Answers") -> bool:
    """Whether the answers press the pain key in this set and have not done so yet."""
    step = step_names.in_set(work.number, step_names.TROUBLE)
    return step in answers.answer and state.record.answer(step) is None


def _reported_pain(state: State, answers: "Answers") -> bool:
    """Whether a set is suspended because the answers pressed the pain key, so that they also resume it."""
    if not isinstance(state.step, Work) or not state.paused or state.over:
        return False
    last, step = state.record.entry[-1], step_names.in_set(state.step.number, step_names.TROUBLE)
    return step in answers.answer and isinstance(last, Answered) and last.step.startswith(step)


def prepared_answer(question: Ask, plan: Plan, answers: "Answers") -> int | str | None:
    """The answer for this step, else for this question. An older yes or no about form is read as how often."""

    def given(name: str) -> int | str | None:
        return answers.answer.get(step_names.in_set(question.set_number, name), answers.answer.get(name))

    answer = answers.answer.get(question.name, answers.answer.get(question.question))
    form = plan.content.questions.get(question.question)
    if form is None or answer is None:
        return answer
    often = form.how_often(answer, given(form.follow_up) if form.follow_up else None)
    return {"at_least_once": "once", None: answer}.get(often, often)


def _answer_to(question: Ask, plan: Plan, answers: "Answers") -> int | str:
    """The prepared answer for this step, else for this question, else the clean one."""
    prepared = prepared_answer(question, plan, answers)
    if prepared is None:
        return clean_answer(question)
    allowed = [choice.value for choice in choices(question, plan.content.signs)]
    if prepared not in allowed:
        raise ValueError(f"{question.name} does not take {prepared!r}: answer one of {', '.join(map(str, allowed))}")
    return prepared


def clean_answer(question: Ask) -> int | str:
    """The answer in a session without faults or pain and with two repetitions to spare."""
    return _AT_BEST[question.question] if question.question in _AT_BEST else _CLEAN[question.scale]

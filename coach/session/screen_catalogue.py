"""Every screen that a client may see in one position, each as the state that shows it: for whoever edits the words.

The states come from the very runner, gone through with the answers that lead there.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.content_entries import FormQuestion
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.record import Answered
from coach.progression.state_machine import initial_progress
from coach.session.answer_keys import choices
from coach.session.interruptions import fewer_sets, other_band, skip_set, trouble
from coach.session.plan import Plan, plan_session
from coach.session.rehearsal import first_state, states
from coach.session.runner import answer, pause
from coach.session.scenarios import kinds_of_session
from coach.session.script import Ask, SetupAgain, Show, Work, set_of
from coach.session.state import Present, State
from coach.session.tempo import SetTime

_SINCE_LAST = timedelta(days=2)  # so that the morning after the last session is asked about
_KEYS_BEFORE_SETS = {step_names.TODAY: fewer_sets, step_names.PLACE: other_band, step_names.REACH: skip_set}


@dataclass(frozen=True)
class Sight:
    """One screen: a name that stays while its words change, the state that shows it, and when."""

    name: str
    state: State
    at_s: float


def plan_at(
    profile: Profile, prescription: Prescription, content: Content, exercise: str, position_deg: int, at: datetime
) -> Plan:
    """A session of this client at one position of one exercise, in the middle of the load ladder, not the first one.

    NoLoadStep, ImpossibleAnchor, NoArc or NoPosition where the client has no load there.
    """
    if exercise != prescription.exercise:
        degrees = tuple(position.abduction_deg for position in content.exercises[exercise].positions)
        other = {"exercise": exercise, "positions": degrees, "first_step": None, "setups": (), "targets": ()}
        prescription = prescription.model_copy(update=other)
    update = {"position_deg": position_deg, "last_session": at - _SINCE_LAST}
    before = initial_progress(prescription).model_copy(update=update)
    plan = plan_session(profile, prescription, content, before)
    return replace(plan, step=plan.ladder.steps[len(plan.ladder.steps) // 2])


def every_sight(plan: Plan, at: datetime) -> tuple[Sight, ...]:
    """Every screen once, in the order of a session; then how each kind of session ends."""
    seen: dict[str, Sight] = {}
    for sight in _all(plan, at):
        seen.setdefault(sight.name, sight)
    return tuple(seen.values())


def _all(plan: Plan, at: datetime) -> Iterator[Sight]:
    questions = [plan.content.questions[name] for name in plan.position.questions]
    yield from _of_steps(plan, questions, at)
    for question in questions:
        yield from _of_cue(plan, question, at)
    for kind, answers in kinds_of_session(plan).items():
        *_, end = states(first_state(plan, at), answers)
        yield Sight(f"end.{kind}", end, end.seen_s)


def _of_steps(plan: Plan, questions: Sequence[FormQuestion], at: datetime) -> Iterator[Sight]:
    """Each step of a session, what keys and answers bring there, and the new setup after every fault at once."""
    follow_ups = {one.name: step_names.in_set(1, one.follow_up) for one in questions if one.follow_up}
    every_fault = {step_names.in_set(1, one.name): one.fault_answer for one in questions}
    at_worst = _by_step(plan, {**every_fault, **dict.fromkeys(follow_ups.values(), "yes")}, at)
    last = plan.prescription.dose.sets
    for name, state in _by_step(plan, {}, at).items():
        step = state.step
        if isinstance(step, Work) and step.number == 1:
            yield from _of_set(state, step.time, at)
        elif isinstance(step, Show) and not state.over:
            yield Sight(name, state, state.seen_s)
            yield from _asked_by_key(state, at)
        elif isinstance(step, Ask) and (step.set_number <= 1 or (step.set_number == last and _only_last(step))):
            yield Sight(name, state, state.seen_s)
            yield from _failed(state, step, at)
            follow_up = follow_ups.get(step.question)
            if follow_up in at_worst:
                yield Sight(follow_up, at_worst[follow_up], at_worst[follow_up].seen_s)
    yield from (Sight(name, one, one.seen_s) for name, one in at_worst.items() if isinstance(one.step, SetupAgain))


def _of_cue(plan: Plan, question: FormQuestion, at: datetime) -> Iterator[Sight]:
    """What the second set shows after a fault that came once in the first."""
    answers = {step_names.in_set(1, question.name): question.fault_answer}
    once = {step_names.in_set(1, question.follow_up): "no"} if question.follow_up else {}
    for state in _by_step(plan, {**answers, **once}, at).values():
        if set_of(state.step) == 2 and not isinstance(state.step, Ask):
            into_s = dict(state.step.time.seen())["out"] if isinstance(state.step, Work) else 0.0
            where = step_names.within_group(state.step.name)
            yield Sight(f"cue.{question.fault}.{where}", state, state.seen_s + into_s)


def _only_last(step: Ask) -> bool:
    return step.question in (step_names.EFFORT, step_names.TWO_MORE)


def _by_step(plan: Plan, answers: Mapping[str, int | str], at: datetime) -> dict[str, State]:
    """The first state at each step of a session with these answers."""
    first = first_state(plan, at)
    begun = {first.step.name: first}
    for state in states(first, Answers(answer=dict(answers))):
        begun.setdefault(state.step.name, state)
    return begun


def _of_set(state: State, time: SetTime, at: datetime) -> Iterator[Sight]:
    """Each phase of a set, its last repetition, the pause, and what the pain key asks."""
    begun_s = state.seen_s
    for phase, after_s in (("count_in", 0.0), *time.seen()):
        yield Sight(f"{state.step.name}.{phase}", state, begun_s + after_s)
    now = Present(begun_s, at)
    yield Sight(f"{state.step.name}.paused", pause(state, now), begun_s)
    asked = trouble(state, now)
    while asked.asking is not None and not asked.over:
        yield Sight(asked.asking.name, asked, begun_s)
        asked = answer(asked, choices(asked.asking, state.plan.content.signs)[0].value, now)


def _asked_by_key(state: State, at: datetime) -> Iterator[Sight]:
    """What a key asks at a step before the sets, where it asks something there."""
    key = _KEYS_BEFORE_SETS.get(state.step.name)
    asked = key(state, Present(state.seen_s, at)) if key is not None else state
    if asked.asking is not None:
        yield Sight(asked.asking.name, asked, asked.seen_s)


def _failed(state: State, step: Ask, at: datetime) -> Iterator[Sight]:
    """A check that was answered no and is asked again."""
    if step.group == step_names.CHECK:
        no = Answered(at=at, step=step.name, value="no")
        yield Sight(f"{step.name}.no", state._replace(record=state.record.with_entry(no)), state.seen_s)

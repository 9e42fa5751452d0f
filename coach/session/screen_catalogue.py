"""Every screen that a client can see in one position, as the state that shows it, for authors of content.

The states are reached by the runner with suitable answers.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from itertools import islice

from msgspec import Struct
from msgspec.structs import replace

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.base import Name
from coach.model.content import Content
from coach.model.content_entries import FormQuestion
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.record import Answered
from coach.progression.state_machine import initial_progress
from coach.session.answer_keys import choices
from coach.session.decision_catalogue import decision_entries
from coach.session.interruptions import change_band, fewer_sets, report_trouble, skip_set
from coach.session.phrases import position_messages
from coach.session.plan import Plan, plan_session
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.runner import answer, choose, leave, pause
from coach.session.scenarios import scenarios
from coach.session.script import Ask, Rest, SetupAgain, Show, Teach, Work, set_of
from coach.session.state import Instant, State
from coach.session.tempo import SetTiming

_SINCE_LAST = timedelta(days=2)  # so that the check-in asks about the morning after the last session
_KEYS_BEFORE_SETS = {step_names.TODAY: fewer_sets, step_names.PLACE: change_band, step_names.REACH: skip_set}


class CatalogueEntry(Struct, frozen=True):
    """One screen: a name that does not depend on its texts, the state, and the time in seconds."""

    name: str
    state: State
    at_s: float


def plan_for_position(
    profile: Profile, prescription: Prescription, content: Content, exercise: str, position: Name, at: datetime
) -> Plan:
    """Plan a session at one position of an exercise, in the middle of the load ladder and not the client's first.

    Raises NoLoadStep, ImpossibleAnchor, NoArc or NoPosition if the client has no load there.
    """
    if exercise != prescription.exercise:
        names = content.exercises[exercise].position_names
        other = {"exercise": exercise, "positions": names, "first_step": None, "setups": (), "targets": ()}
        prescription = prescription.model_copy(update=other)
    taught = {exercise: tuple(question.fault for question in content.questions.values())}
    update = {"position": position, "last_session": at - _SINCE_LAST, "taught": taught}
    before = initial_progress(prescription).model_copy(update=update)
    plan = plan_session(profile, prescription, content, before)
    return replace(plan, step=plan.ladder.steps[len(plan.ladder.found) // 2])


def catalogue_entries(plan: Plan, at: datetime) -> tuple[CatalogueEntry, ...]:
    """Every screen once, in the order of a session, then the end of each scenario."""
    seen: dict[str, CatalogueEntry] = {}
    for entry in _all(plan, at):
        seen.setdefault(entry.name, entry)
    return tuple(seen.values())


def _all(plan: Plan, at: datetime) -> Iterator[CatalogueEntry]:
    questions = [plan.content.questions[name] for name in plan.position.questions]
    plan = replace(
        plan, limits={**plan.limits, "form_each_set": len(questions)}
    )  # so that no question waits its turn
    yield from _of_steps(plan, questions, at)
    for question in questions:
        yield from _of_lesson(plan, question, at)
        yield from _of_cue(plan, question, at)
    yield from _of_learned(plan, at)
    for kind, answers in scenarios(plan).items():
        *_, end = rehearsed_states(first_state(plan, at), answers)
        yield CatalogueEntry(f"end.{kind}", end, end.seen_s)
    left = leave(first_state(plan, at), Instant(0.0, at))
    yield CatalogueEntry("end.left", left, left.seen_s)
    yield from (CatalogueEntry(name, end, end.seen_s) for name, end in decision_entries(plan, at))


def _of_steps(plan: Plan, questions: Sequence[FormQuestion], at: datetime) -> Iterator[CatalogueEntry]:
    """Each step of a session, the questions that keys and answers bring up, and the setup after a lower load."""
    at_worst = _by_step(plan, {one.name: "more_than_once" for one in questions}, at)
    asked: set[str] = set()
    for name, state in _by_step(plan, {}, at).items():
        step = state.step
        if isinstance(step, Work) and step.number == 1:
            yield from _of_set(state, step.time, at)
        elif isinstance(step, Show) and not state.over:
            yield CatalogueEntry(name, state, state.seen_s)
            yield from _asked_by_key(state, at)
        elif isinstance(step, Ask) and (not step.set_number or step.question not in asked):
            asked.add(step.question)
            yield CatalogueEntry(name, state, state.seen_s)
            yield from _failed(state, step, at)
            yield from _confirmed(state, step, at)
        elif isinstance(step, Rest):
            yield CatalogueEntry(name, state, state.seen_s)
    for name, state in at_worst.items():
        if isinstance(state.step, SetupAgain) or (isinstance(state.step, Ask) and state.step.before_set):
            yield CatalogueEntry(name, state, state.seen_s)


def _of_lesson(plan: Plan, question: FormQuestion, at: datetime) -> Iterator[CatalogueEntry]:
    """The fault of a question as it is shown before the first set, a moment after the hand has begun to move.

    To a client who has seen all others, on a day on which nothing else takes its place.
    """
    faults = [one.fault for one in plan.content.questions.values() if one.fault != question.fault]
    free = {
        "taught": {plan.before.exercise: tuple(faults)},
        "form_asked": dict.fromkeys(plan.position.questions, 0),
        "newest_fault": None,
        "trial": None,
        "trial_ago": 0,
    }
    reached = rehearsed_states(first_state(replace(plan, before=plan.before.model_copy(update=free)), at), Answers())
    state = next(state for state in reached if isinstance(state.step, Teach))
    yield CatalogueEntry(state.step.name, state, state.seen_s + plan.prescription.dose.tempo.out_s)


def _of_cue(plan: Plan, question: FormQuestion, at: datetime) -> Iterator[CatalogueEntry]:
    """The screens of the second set after a fault that occurred once in the first, for each variant of the cue."""
    cue = position_messages(plan).cue_for(question.fault)
    variants = cue.variants if cue is not None else ()
    if cue is not None and cue.praise is not None:
        once = _by_step(plan, {step_names.in_set(1, question.name): "once"}, at).values()
        rests = (state for state in once if isinstance(state.step, Rest) and set_of(state.step) > 2)
        yield from (CatalogueEntry(f"praise.{question.fault}.rest", one, one.seen_s) for one in islice(rests, 1))
    for turn in range(1 + len(variants)):
        before = plan.before.model_copy(update={"sessions": plan.before.sessions + turn})
        named = f"cue.{question.fault}" if turn == 0 else f"cue.{question.fault}.{turn + 1}"
        for state in _by_step(
            replace(plan, before=before), {step_names.in_set(1, question.name): "once"}, at
        ).values():
            if set_of(state.step) == 2 and not isinstance(state.step, Ask):
                into_s = dict(state.step.time.shown_moments())["out"] if isinstance(state.step, Work) else 0.0
                where = step_names.within_group(state.step.name)
                yield CatalogueEntry(f"{named}.{where}", state, state.seen_s + into_s)


def _of_learned(plan: Plan, at: datetime) -> Iterator[CatalogueEntry]:
    """The page before the first set and the first rest where so many sets were clean that no cue is shown."""
    clean = plan.before.model_copy(update={"clean_sets": round(plan.limits["cue_first_set_until"])})
    states = _by_step(replace(plan, before=clean), {}, at).values()
    for state in (*(one for one in states if one.step.name == step_names.REACH), *_first_rest(states)):
        yield CatalogueEntry(f"learned.{state.step.name.rpartition('.')[2]}", state, state.seen_s)


def _first_rest(states: Iterable[State]) -> tuple[State, ...]:
    return tuple(one for one in states if isinstance(one.step, Rest))[:1]


def _by_step(plan: Plan, answers: Mapping[str, int | str], at: datetime) -> dict[str, State]:
    """The first state at each step of a session with these answers, by the name of the step."""
    first = first_state(plan, at)
    begun = {first.step.name: first}
    for state in rehearsed_states(first, Answers(answer=dict(answers))):
        begun.setdefault(state.step.name, state)
    return begun


def _of_set(state: State, time: SetTiming, at: datetime) -> Iterator[CatalogueEntry]:
    """Each phase of a set, its last repetition, the pause, and the questions of the pain key."""
    begun_s = state.seen_s
    for phase, after_s in (("count_in", 0.0), *time.shown_moments()):
        yield CatalogueEntry(f"{state.step.name}.{phase}", state, begun_s + after_s)
    now = Instant(begun_s, at)
    yield CatalogueEntry(f"{state.step.name}.paused", pause(state, now), begun_s)
    asked = report_trouble(state, now)
    while asked.asking is not None and not asked.over:
        yield CatalogueEntry(asked.asking.name, asked, begun_s)
        asked = answer(asked, choices(asked.asking, state.plan.content.signs)[0].value, now)


def _asked_by_key(state: State, at: datetime) -> Iterator[CatalogueEntry]:
    """The question that a key brings up at a step before the sets, if any."""
    key = _KEYS_BEFORE_SETS.get(state.step.name)
    asked = key(state, Instant(state.seen_s, at)) if key is not None else state
    if asked.asking is not None:
        yield CatalogueEntry(asked.asking.name, asked, asked.seen_s)


def _failed(state: State, step: Ask, at: datetime) -> Iterator[CatalogueEntry]:
    """A check that was answered with no and is asked again."""
    if step.group == step_names.CHECK:
        no = Answered(at=at, step=step.name, value="no")
        yield CatalogueEntry(f"{step.name}.no", state._replace(record=state.record.with_entry(no)), state.seen_s)


def _confirmed(state: State, step: Ask, at: datetime) -> Iterator[CatalogueEntry]:
    """The page that asks whether an answer that ends the session is meant."""
    signs = state.plan.content.signs
    for choice in choices(step, signs):
        after = choose(state, choice.value, Instant(state.seen_s, at))
        if after.chosen is not None:
            yield CatalogueEntry(f"{step.name}.confirm", after, after.seen_s)
            return

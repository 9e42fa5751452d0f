"""The runner: what time, a key or an answer does to a session. Pure: time is passed in.

Every function takes a state and the present and gives a new state. What must be on disk before the
client sees the next step stands at the end of `state.record.entry`.
"""

from coach.model import step_names
from coach.model.record import Answered, LoadChanged, Record
from coach.progression.state_machine import ImmediateAction, immediate_action
from coach.session.interruptions import after_asking, asked_before
from coach.session.plan import Plan
from coach.session.script import Ask, Rest, Script, Step, Work, is_due
from coach.session.state import Present, State
from coach.session.stopwatch import Stopwatch
from coach.session.transitions import arrive, end_session, forward, set_over, stand_still, written


def begin(plan: Plan, script: Script, record: Record, now: Present) -> State:
    """The first step of a script, for a record that is new or goes on."""
    return arrive(State(plan, script, record, 0, Stopwatch(), now.s), 0, now)


def tick(state: State, now: Present) -> State:
    """Time has passed: end what is over; pause where more time has passed than a screen can account for."""
    if state.over or state.watch.since_s is None:
        return state._replace(seen_s=now.s)
    if now.s - state.seen_s > state.plan.limits["gap_s"]:
        return stand_still(state, state.seen_s, now)
    state = state._replace(seen_s=now.s)
    moment = state.moment(now.s)
    if moment is not None and moment.phase == "over":
        return set_over(state, "done", now)
    if isinstance(state.step, Rest) and state.rest_left_s(now.s) <= 0:
        return forward(state, now)
    return state


def go_on(state: State, now: Present) -> State:
    """Ready: leave what was read, end the rest early, or go on after a pause."""
    if state.over or state.question is not None:
        return state
    if state.paused:
        return state._replace(paused=False, watch=state.watch.started(now.s), seen_s=now.s)
    return state if isinstance(state.step, Work) else forward(state, now)


def answer(state: State, value: int | str, now: Present) -> State:
    """An answer to the question on the screen; unchanged where none is asked."""
    question = state.question
    if question is None or state.over:
        return state
    stays = _stays_at(state, question, value)
    state = written(state, Answered(at=now.at, step=question.name, value=value))
    following = None if state.asking is not None else state.script.due_from(state.at_step + 1, state.record)
    last = following is not None and not _same_group(question, state.script.steps[following])
    verdict = _judge(state, question) if last or not question.of_form else None
    if verdict is not None and verdict.stops:
        return end_session(state._replace(verdict=verdict, asking=None), "stopped", now)
    if following is None:
        return after_asking(state, question, value, now)
    if stays:
        return state
    if last and question.group != step_names.CHECK:
        return forward(_with_less_load(state, verdict, now), now)
    return arrive(state, following, now)


def _stays_at(state: State, question: Ask, value: int | str) -> bool:
    """Whether a check is asked again: after every no, or only after the first where one may go on as it is."""
    if question.scale != "yes_no" or value != "no":
        return False
    last = state.record.entry[-1] if state.record.entry else None
    again = isinstance(last, Answered) and (last.step, last.value) == (question.name, "no")
    return not (again and question.question in state.plan.book.passable_checks)


def back(state: State, now: Present) -> State:
    """One question back, within the questions that are judged together; also out of one that a key brought."""
    if state.over:
        return state
    if state.asking is not None:
        return state._replace(asking=asked_before(state, state.asking))
    here = state.question
    for index in range(state.at_step - 1, -1, -1):
        step = state.script.steps[index]
        if here is None or not isinstance(step, Ask) or not _same_group(here, step):
            return state
        if is_due(step, state.record):
            return state._replace(at_step=index, seen_s=now.s)
    return state


def pause(state: State, now: Present) -> State:
    """Stand still. The repetition under way is not counted and begins anew after a count-in."""
    return state if state.over else stand_still(state, now.s, now)


def stop_set(state: State, now: Present) -> State:
    """The client cannot or will not do more of this set; what was done counts."""
    return set_over(state, "stopped", now) if isinstance(state.step, Work) and not state.over else state


def show_cue(state: State, _: Present) -> State:
    """Show the cue of the set under way or to come, where it is not given by itself."""
    return state if state.over or state.question is not None else state._replace(cue_asked_for=state.set_number)


def leave(state: State, now: Present) -> State:
    """End the session here, by the client's wish."""
    return state if state.over else end_session(state._replace(asking=None), "left", now)


def _same_group(here: Ask, other: Step) -> bool:
    return isinstance(other, Ask) and other.group == here.group


def _judge(state: State, question: Ask) -> ImmediateAction | None:
    """What the rules ask for at once, given the answers so far."""
    plan, record = state.plan, state.record
    if question.set_number:
        return immediate_action(plan.before, record, plan.book, "set", question.set_number)
    return immediate_action(plan.before, record, plan.book, "check_in")


def _with_less_load(state: State, verdict: ImmediateAction | None, now: Present) -> State:
    """A step down from the next set on, where the rules ask for one and there is one."""
    if verdict is None or verdict.load is None:
        return state._replace(verdict=verdict)
    plan, load = state.plan, verdict.load
    if verdict.share is not None:
        load = plan.at_most(load, state.record.rungs.step.mean_nm * verdict.share)
    changed = LoadChanged(at=now.at, rule=verdict.rule.name, rungs=plan.rungs(load))
    return written(state, changed)._replace(verdict=verdict)


def stopped_by(plan: Plan, record: Record) -> ImmediateAction | None:
    """The rule that stopped this session, from the answers alone; None where it may go on."""
    verdicts = [immediate_action(plan.before, record, plan.book, "check_in")]
    numbers = range(1, record.dose.sets + 1)
    verdicts += [immediate_action(plan.before, record, plan.book, "set", number) for number in numbers]
    return next((verdict for verdict in verdicts if verdict is not None and verdict.stops), None)

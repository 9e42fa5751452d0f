"""The runner: what time, keys and answers do to a session. Pure: time is passed in.

Every function takes a state and the current time and returns a new state. New entries are at the end of
`state.record.entry`; they must be on disk before the client sees the new state.
"""

import math

from msgspec.structs import replace

from coach.model import step_names
from coach.model.record import Answered, Chosen, OwnTempo, Record, TakenBack, Taught
from coach.progression.state_machine import ImmediateAction, immediate_action
from coach.session.interruptions import apply_interruption, previous_question, with_pain_asked, without_report
from coach.session.next_exercise import take_turn
from coach.session.plan import Plan, script_of
from coach.session.script import (
    Ask,
    Rest,
    SetupAgain,
    Show,
    Step,
    Teach,
    Trial,
    Work,
    is_due,
    remaining_script,
)
from coach.session.state import Instant, State, Stopwatch
from coach.session.transitions import (
    end_session,
    enter_step,
    finish_set,
    forward,
    suspend,
    with_entries,
    with_less_load,
)

# Answers of the check-in that say how the shoulder is now; the others are of the time since the last session.
_GROWS_OLD = (step_names.PAIN_NOW, step_names.RELIEF, step_names.SIGN, step_names.NIGHT)


def tick(state: State, now: Instant) -> State:
    """Time has passed: end a set or a rest that is over, and suspend the step after a gap longer than `gap_s`."""
    if state.over or state.watch.since_s is None:
        return state._replace(seen_s=now.s)
    if now.s - state.seen_s > state.plan.limits["gap_s"]:
        return suspend(state, state.seen_s, now)
    state = take_turn(state._replace(seen_s=now.s), now)
    moment = state.moment(now.s)
    if moment is not None and moment.phase == "over" and state.practising:
        return state._replace(watch=Stopwatch())
    if moment is not None and moment.phase == "over":
        return finish_set(state, "done", now)
    if isinstance(state.step, Rest) and state.rest_left_s(now.s) <= 0:
        return forward(state, now)
    return state


def go_on(state: State, now: Instant) -> State:
    """Continue: leave a page, end a rest early, or resume after a pause."""
    if state.over or state.question is not None or state.chosen is not None:
        return state
    if state.paused:
        state = _with_a_way_to_the_mark(state, now)
        return state._replace(paused=False, watch=state.watch.started(now.s), seen_s=now.s)
    if isinstance(state.step, Trial) and state.record.own_tempo is None:
        return _time_own_tempo(state, state.step, now)
    if isinstance(state.step, Teach):
        state = with_entries(state, Taught(at=now.at, fault=state.step.fault))
    return state if isinstance(state.step, Work) else _with_a_way_to_the_mark(forward(state, now), now)


def _with_a_way_to_the_mark(state: State, now: Instant) -> State:
    """The state with time to walk from the keys to the mark, where a key was pressed before a set.

    What is left of a rest is part of that time. A rest that no key interrupts ends with the client on the mark.
    """
    at, least_s = state.at_step + isinstance(state.step, Rest), math.ceil(state.way_s - state.rest_left_s(now.s))
    before, work, after = state.script.steps[:at], state.script.steps[at], state.script.steps[at + 1 :]
    if not isinstance(work, Work) or work.time.count_in_s >= least_s:
        return state
    longer = replace(work, time=replace(work.time, count_in_s=least_s))
    return state._replace(script=replace(state.script, steps=(*before, longer, *after)))


def practise(state: State, now: Instant) -> State:
    """Lead the movement without the band, at the tempo of the sets; unchanged where it is led already."""
    here = isinstance(state.step, Show) and state.step.name == step_names.REACH
    if not here or state.practising or state.over or state.question is not None:
        return state
    return state._replace(watch=Stopwatch(since_s=now.s), seen_s=now.s)


def _time_own_tempo(state: State, trial: Trial, now: Instant) -> State:
    """Start to time the repetitions, or end it and keep the seconds that they took."""
    if state.watch.since_s is None:
        return state._replace(watch=Stopwatch(since_s=now.s), seen_s=now.s)
    took_s = round(state.watch.elapsed_s(now.s), 1)
    timed = OwnTempo(at=now.at, repetitions=trial.repetitions, took_s=took_s, right_s=trial.right_s)
    return with_entries(state, timed)._replace(watch=Stopwatch(), seen_s=now.s)


def choose(state: State, value: int | str, now: Instant) -> State:
    """Answer the question on the screen, or ask for confirmation first if the answer would end the session."""
    if state.question is None or state.over or state.chosen is not None or not _would_stop(state, value, now):
        return answer(state, value, now)
    chosen = Chosen(at=now.at, step=state.question.name, value=value)
    return with_entries(state, chosen)._replace(chosen=chosen, seen_s=now.s)


def _would_stop(state: State, value: int | str, now: Instant) -> bool:
    """Whether this answer ends the session; False if a rule that does not depend on it stops the session anyway."""
    ended = answer(state, value, now).record.ended
    return ended is not None and ended.how == "stopped" and stopped_by(state.plan, state.record) is None


def confirm(state: State, now: Instant) -> State:
    """Confirm what was chosen: it counts from now on, and the session ends."""
    chosen = state.chosen
    if chosen is None or state.over:
        return state
    state = state._replace(chosen=None)
    if state.question is not None and state.question.name == chosen.step:
        return answer(state, chosen.value, now)
    # Chosen before the program was closed: the question itself is not on the screen.
    said = Answered(at=now.at, step=chosen.step, value=chosen.value)
    return end_session(with_entries(state, said)._replace(asking=None), "stopped", now)


def take_back(state: State, now: Instant) -> State:
    """Take back what was chosen and not confirmed; the question is asked again."""
    if state.chosen is None or state.over:
        return state
    return with_entries(state, TakenBack(at=now.at, step=state.chosen.step))._replace(chosen=None, seen_s=now.s)


def answer(state: State, value: int | str, now: Instant) -> State:
    """Answer the question on the screen, confirmed; unchanged if there is none."""
    question = state.question
    if question is None or state.over or state.chosen is not None:
        return state
    stays = _stays_at(state, question, value)
    state = with_entries(state, Answered(at=now.at, step=question.name, value=value))
    following = None if state.asking is not None else state.script.due_from(state.at_step + 1, state.record)
    last = following is not None and not _same_group(question, state.script.steps[following])
    verdict = _judge(state, question) if last or not question.of_form else None
    if verdict is not None and verdict.stops:
        return end_session(state._replace(verdict=verdict, asking=None), "stopped", now)
    if following is None:
        return apply_interruption(state, question, value, now)
    if stays:
        return state
    if last and question.group != step_names.CHECK:
        return take_turn(forward(with_less_load(state, verdict, now), now), now)
    return enter_step(state, following, now)


def _stays_at(state: State, question: Ask, value: int | str) -> bool:
    """Whether a check is asked again: after every no, or only after the first if the check may be passed over."""
    if question.scale != "yes_no" or value != "no":
        return False
    last = state.record.entry[-1] if state.record.entry else None
    again = isinstance(last, Answered) and (last.step, last.value) == (question.name, "no")
    return not (again and question.question in state.plan.book.passable_checks)


def back(state: State, now: Instant) -> State:
    """Go back one question or page, or leave a question that a key brought up.

    The answer that it goes back to is taken back. Unchanged where what followed from the answers was shown. What a
    report of pain still lacks is asked before anything goes on.
    """
    if state.over:
        return state
    if state.chosen is not None:
        return take_back(state, now)
    if state.asking is not None:
        previous = previous_question(state, state.asking)
        if previous is None:
            return with_pain_asked(without_report(state, now))
        return _reopened(state._replace(asking=previous, seen_s=now.s), previous, now)
    index = _step_before(state)
    if index is None:
        return state
    state = state._replace(at_step=index, watch=Stopwatch(), paused=False, verdict=None, seen_s=now.s)
    return _reopened(state, state.question, now)


def may_go_back(state: State) -> bool:
    """Whether `back` leads anywhere."""
    asked = state.asking is not None or state.chosen is not None
    return not state.over and (asked or _step_before(state) is not None)


def question_before(state: State) -> str:
    """The name of the question that `back` asks again; empty where it leads to none."""
    if state.over or state.chosen is not None:
        return ""
    if state.asking is not None:
        previous = previous_question(state, state.asking)
    else:
        index = _step_before(state)
        step = state.script.steps[index] if index is not None else None
        previous = step if isinstance(step, Ask) else None
    return previous.name if previous is not None else ""


def _step_before(state: State) -> int | None:
    """The index of the question or page before this one; None in a set, and where a consequence was shown."""
    if not isinstance(state.step, Work | SetupAgain):
        for index in range(state.at_step - 1, -1, -1):
            step = state.script.steps[index]
            if is_due(step, state.record):
                return index if isinstance(step, Ask | Show | Teach | Trial) else None
    return None


def _reopened(state: State, question: Ask | None, now: Instant) -> State:
    """The state with the answer to this question taken back, if it has one."""
    if question is None or state.record.answer(question.name) is None:
        return state
    return with_entries(state, TakenBack(at=now.at, step=question.name))


def pause(state: State, now: Instant) -> State:
    """Pause. The current repetition does not count and starts again after a count-in."""
    return state if state.over else suspend(state, now.s, now)


def ask_again(state: State, now: Instant) -> State:
    """Ask about pain and warning signs again, then go through the setup and its checks again: time has passed.

    A set that was under way begins again, as in an interrupted session. Unchanged where the check-in was not answered
    yet, or no set is left to do. What a report of pain still lacks is asked first.
    """
    old = tuple(name for name in _GROWS_OLD if state.record.answer(name) is not None)
    script = remaining_script(script_of(state.plan, state.record), state.record, old)
    if state.over or not old or not any(isinstance(step, Work) for step in script.steps):
        return state
    return with_pain_asked(enter_step(state._replace(script=script, asking=None), 0, now))


def stop_set(state: State, now: Instant) -> State:
    """End the set early; the repetitions done count."""
    unanswered = state.chosen is not None or state.asking is not None
    if state.over or unanswered or not isinstance(state.step, Work):
        return state
    return finish_set(state, "stopped", now)


def show_cue(state: State, _: Instant) -> State:
    """Show the cue of the current or next set, for a cue that is shown on request only."""
    return state if state.over or state.question is not None else state._replace(cue_asked_for=state.set_number)


def leave(state: State, now: Instant) -> State:
    """End the session at the client's request. What would stop it and waits for its confirmation counts.

    Whoever has chosen chest pain and then leaves is given the advice, and the therapist sees it.
    """
    if state.chosen is not None:
        return confirm(state, now)
    return state if state.over else end_session(state._replace(asking=None), "left", now)


def _same_group(here: Ask, other: Step) -> bool:
    return isinstance(other, Ask) and other.group == here.group


def _judge(state: State, question: Ask) -> ImmediateAction | None:
    """The immediate action that the rules ask for, given the answers so far."""
    plan, record = state.plan, state.record
    if question.set_number:
        return immediate_action(plan.before, record, plan.book, "set", question.set_number)
    return immediate_action(plan.before, record, plan.book, "check_in")


def stopped_by(plan: Plan, record: Record) -> ImmediateAction | None:
    """The action that stops this session according to its answers; None if it may continue."""
    verdicts = [immediate_action(plan.before, record, plan.book, "check_in")]
    numbers = range(1, record.dose.sets + 1)
    verdicts += [immediate_action(plan.before, record, plan.book, "set", number) for number in numbers]
    return next((verdict for verdict in verdicts if verdict is not None and verdict.stops), None)

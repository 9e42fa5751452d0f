"""The runner: where the client is at a given time, and what each key or answer does. Pure: time is passed in.

Every function takes a state and the present and gives a new state. What must be on disk before the
client sees the next step stands at the end of `state.record.entry`.
"""

from dataclasses import replace
from datetime import datetime
from typing import NamedTuple, get_args

from coach.model import step_names
from coach.model.load import Rungs
from coach.model.record import (
    Answered,
    BandAtHand,
    Ended,
    Entry,
    How,
    LoadChanged,
    Record,
    SetDone,
    SetEnd,
    SkipReason,
)
from coach.progression.machine import Verdict, decide, within
from coach.progression.situation import PAINS
from coach.session.plan import Plan, script_of
from coach.session.script import Ask, Rest, Script, SetupAgain, Step, Work, set_of
from coach.session.stopwatch import Stopwatch
from coach.session.tempo import Moment, SetTime, moment_at

SKIP_REASONS: tuple[SkipReason, ...] = get_args(SkipReason)


class Present(NamedTuple):
    """Now: seconds of a clock that never jumps, and the time of day for the record."""

    s: float
    at: datetime


class State(NamedTuple):
    """One moment of a session. `asking` is a question that a key put in front of the step; `cue_asked_for` is the
    set whose cue the client wanted to see."""

    plan: Plan
    script: Script
    record: Record
    at_step: int
    watch: Stopwatch
    seen_s: float
    whole: int = 0
    under_load_s: float = 0.0
    paused: bool = False
    asking: Ask | None = None
    verdict: Verdict | None = None
    cue_asked_for: int = 0

    @property
    def step(self) -> Step:
        """The step the client is at."""
        return self.script.steps[self.at_step]

    @property
    def question(self) -> Ask | None:
        """The question on the screen, if there is one."""
        if self.asking is not None:
            return self.asking
        return self.step if isinstance(self.step, Ask) else None

    @property
    def set_number(self) -> int:
        """The set under way, asked about, or to come."""
        return set_of(self.step) or min(len(self.record.sets_done) + 1, self.record.sets_today)

    @property
    def over(self) -> bool:
        """The closing entry is written: nothing more can be done or answered."""
        return self.record.ended is not None

    @property
    def time_left(self) -> SetTime | None:
        """The set under way without the repetitions done before a pause; None outside a set."""
        if not isinstance(self.step, Work):
            return None
        time = self.step.time
        return replace(time, repetitions=max(0, time.repetitions - self.whole))

    def moment(self, now_s: float) -> Moment | None:
        """Where the set under way is, counting the repetitions done before a pause; None outside a set."""
        time = self.time_left
        if time is None:
            return None
        moment = moment_at(time, self.watch.elapsed_s(now_s))
        return replace(moment, repetition=moment.repetition + self.whole, whole=moment.whole + self.whole)

    def rest_left_s(self, now_s: float) -> float:
        """Seconds of rest still to come; 0 outside a rest."""
        return max(0.0, self.step.seconds - self.watch.elapsed_s(now_s)) if isinstance(self.step, Rest) else 0.0


def begin(plan: Plan, script: Script, record: Record, now: Present) -> State:
    """The first step of a script, for a record that is new or goes on."""
    return _arrive(State(plan, script, record, 0, Stopwatch(), now.s), 0, now)


def tick(state: State, now: Present) -> State:
    """Time has passed: end what is over; pause where more time has passed than a screen can account for."""
    if state.over or state.watch.since_s is None:
        return state._replace(seen_s=now.s)
    if now.s - state.seen_s > state.plan.limits["gap_s"]:
        return _pause_at(state, state.seen_s, now)
    state = state._replace(seen_s=now.s)
    moment = state.moment(now.s)
    if moment is not None and moment.phase == "over":
        return _set_over(state, "done", now)
    if isinstance(state.step, Rest) and state.rest_left_s(now.s) <= 0:
        return _forward(state, now)
    return state


def go_on(state: State, now: Present) -> State:
    """Ready: leave what was read, end the rest early, or go on after a pause."""
    if state.over or state.question is not None:
        return state
    if state.paused:
        return state._replace(paused=False, watch=state.watch.started(now.s), seen_s=now.s)
    return state if isinstance(state.step, Work) else _forward(state, now)


def answer(state: State, value: int | str, now: Present) -> State:
    """An answer to the question on the screen; unchanged where none is asked."""
    question = state.question
    if question is None or state.over:
        return state
    stays = _stays_at(state, question, value)
    state = _written(state, Answered(at=now.at, step=question.name, value=value))
    following = None if state.asking is not None else _due_from(state, state.at_step + 1)
    last = following is not None and not _same_group(question, state.script.steps[following])
    verdict = _judge(state, question) if last or not question.of_form else None
    if verdict is not None and verdict.stops:
        return _end(state._replace(verdict=verdict, asking=None), "stopped", now)
    if following is None:
        return _after_asking(state, question, value, now)
    if stays:
        return state
    if last and question.group != step_names.CHECK:
        return _forward(_with_less_load(state, verdict, now), now)
    return _arrive(state, following, now)


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
        return state._replace(asking=_asked_before(state, state.asking))
    here = state.question
    for index in range(state.at_step - 1, -1, -1):
        step = state.script.steps[index]
        if here is None or not isinstance(step, Ask) or not _same_group(here, step):
            return state
        if _is_due(step, state.record):
            return state._replace(at_step=index, seen_s=now.s)
    return state


def _asked_before(state: State, asked: Ask) -> Ask | None:
    """The question before one that the pain key brought; None before the first, and before those of other keys."""
    asks = _about_pain(state, asked.set_number)
    names = [ask.name for ask in asks]
    return asks[names.index(asked.name) - 1] if asked.name in names[1:] else None


def pause(state: State, now: Present) -> State:
    """Stand still. The repetition under way is not counted and begins anew after a count-in."""
    return state if state.over else _pause_at(state, now.s, now)


def trouble(state: State, now: Present) -> State:
    """The pain key: stand still and ask what it is."""
    if state.over:
        return state
    return _pause_at(state, now.s, now)._replace(asking=_about_pain(state, state.set_number)[0])


def stop_set(state: State, now: Present) -> State:
    """The client cannot or will not do more of this set; what was done counts."""
    return _set_over(state, "stopped", now) if isinstance(state.step, Work) and not state.over else state


def skip_set(state: State, now: Present) -> State:
    """Stand still and ask why the set to come is not done; within a set stop_set is the word."""
    if state.over or state.question is not None or isinstance(state.step, Work):
        return state
    number = state.set_number
    ask = Ask(step_names.in_set(number, step_names.SKIP), step_names.SKIP, "listed", 0, number, options=SKIP_REASONS)
    return _pause_at(state, now.s, now)._replace(asking=ask)


def other_band(state: State, now: Present) -> State:
    """Ask which other band is at hand; unchanged where none of them has a load step for today."""
    options = tuple(state.plan.at_hand(state.record.rungs_now.step))
    if state.over or state.question is not None or not options:
        return state
    ask = Ask(step_names.OTHER_BAND, "other_band", "listed", 0, options=options)
    return state._replace(asking=ask, seen_s=now.s)


def fewer_sets(state: State, now: Present) -> State:
    """Ask how many sets there is time for."""
    if state.over or state.question is not None:
        return state
    options = tuple(range(1, state.record.dose.sets + 1))
    ask = Ask(step_names.SETS_TODAY, "sets_today", "listed", 0, options=options)
    return state._replace(asking=ask, seen_s=now.s)


def show_cue(state: State, _: Present) -> State:
    """Show the cue of the set under way or to come, where it is not given by itself."""
    return state if state.over or state.question is not None else state._replace(cue_asked_for=state.set_number)


def leave(state: State, now: Present) -> State:
    """End the session here, by the client's wish."""
    return state if state.over else _end(state._replace(asking=None), "left", now)


def _forward(state: State, now: Present) -> State:
    """To the next step that is due."""
    return _arrive(state, state.at_step + 1, now)


def _due_from(state: State, at_step: int) -> int:
    """This step, or the first after it that is to be gone through; the last one always is."""
    while not _is_due(state.script.steps[at_step], state.record):
        at_step += 1
    return at_step


def _same_group(here: Ask, other: Step) -> bool:
    return isinstance(other, Ask) and other.group == here.group


def _arrive(state: State, at_step: int, now: Present) -> State:
    """Come to a step, or the first after it that is due: start its time, or close the record at the last one."""
    at_step = _due_from(state, at_step)
    step = state.script.steps[at_step]
    watch = Stopwatch(since_s=now.s) if isinstance(step, Work | Rest) else Stopwatch()
    state = state._replace(at_step=at_step, watch=watch, seen_s=now.s, whole=0, under_load_s=0.0, paused=False)
    return _end(state, "finished", now) if step.name == step_names.CLOSING else state


def _is_due(step: Step, record: Record) -> bool:
    """Whether a step is to be gone through, given what was answered and what changed before."""
    number = set_of(step)
    if number and record.skipped_because(number) is not None:
        return False
    if isinstance(step, Ask) and step.after is not None:
        return record.answer(step.after[0]) == step.after[1]
    if isinstance(step, SetupAgain):
        return _changed_since_last_set(record)
    return True


def _changed_since_last_set(record: Record) -> bool:
    for entry in reversed(record.entry):
        if isinstance(entry, LoadChanged | SetDone):
            return isinstance(entry, LoadChanged)
    return False


def _judge(state: State, question: Ask) -> Verdict | None:
    """What the rules ask for at once, given the answers so far."""
    plan, record = state.plan, state.record
    if question.set_number:
        return within(plan.before, record, plan.book, "set", question.set_number)
    return within(plan.before, record, plan.book, "check_in")


def _with_less_load(state: State, verdict: Verdict | None, now: Present) -> State:
    """A step down from the next set on, where the rules ask for one and there is one."""
    if verdict is None or verdict.load is None:
        return state._replace(verdict=verdict)
    rungs: Rungs = state.plan.rungs(verdict.load)
    changed = LoadChanged(at=now.at, rule=verdict.rule.name, rungs=rungs)
    return _written(state, changed)._replace(verdict=verdict)


def _after_trouble(state: State, asked: Ask, value: int | str) -> State:
    """A pain is asked about further, one question after the other; then it goes back to the step."""
    asks = _about_pain(state, asked.set_number)
    following = asks[[ask.name for ask in asks].index(asked.name) + 1 :]
    done = not following or (asked.question == step_names.TROUBLE and value not in PAINS)
    return state._replace(asking=None if done else following[0])


def _about_pain(state: State, number: int) -> tuple[Ask, ...]:
    """What the pain key asks: what it is, and for a pain where and how much. Where comes first, because how much
    may end the session, and pain in one region is a warning sign."""
    what, where, how_much = step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN
    return (
        Ask(step_names.in_set(number, what), what, "trouble", 0, number),
        Ask(step_names.in_set(number, where), where, "listed", 0, number, options=tuple(state.plan.content.regions)),
        Ask(step_names.in_set(number, how_much), how_much, "zero_to_ten", 0, number),
    )


def _after_asking(state: State, asked: Ask, value: int | str, now: Present) -> State:
    """What an answer does that a key asked for out of turn."""
    match asked.question:
        case step_names.SKIP:
            return _forward(state._replace(asking=None), now)
        case "other_band":
            return _after_other_band(state, str(value), now)
        case "sets_today":
            return state._replace(asking=None, script=script_of(state.plan, state.record))
        case _:
            return _after_trouble(state, asked, value)


def _after_other_band(state: State, grade: str, now: Present) -> State:
    """That band from here on, at its own mark; a setup begun is gone through anew, with its checks."""
    at_hand = state.plan.at_hand(state.record.rungs_now.step)
    state = _written(state, BandAtHand(at=now.at, rungs=state.plan.rungs(at_hand[grade])))._replace(asking=None)
    names = [step.name for step in state.script.steps]
    return state._replace(at_step=min(state.at_step, names.index(step_names.PLACE)))


def _pause_at(state: State, at_s: float, now: Present) -> State:
    """Stand still since `at_s`; within a set the whole repetitions are kept and a new count-in follows."""
    if not isinstance(state.step, Work | Rest):
        return state._replace(seen_s=now.s)
    if isinstance(state.step, Rest):
        return state._replace(watch=state.watch.stopped(at_s), paused=True, seen_s=now.s)
    state = _banked(state, at_s)
    return state._replace(watch=Stopwatch(), paused=True, seen_s=now.s)


def _banked(state: State, at_s: float) -> State:
    """The whole repetitions and the seconds under load of the set so far."""
    moment = state.moment(at_s)
    if moment is None or not isinstance(state.step, Work):
        return state
    time, new = state.step.time, moment.whole - state.whole
    broken = moment.phase in ("out", "hold", "back")
    at_start = {"out": 0.0, "hold": time.tempo.out_s, "back": time.tempo.out_s + time.tempo.hold_s}
    part_s = at_start[moment.phase] + moment.gone_s if broken else 0.0
    under_load_s = state.under_load_s + new * time.under_load_s + part_s
    return state._replace(whole=moment.whole, under_load_s=under_load_s)


def _set_over(state: State, end: SetEnd, now: Present) -> State:
    return _forward(_with_set(state, end, now), now)


def _with_set(state: State, end: SetEnd, now: Present) -> State:
    """The set under way written down as far as it went."""
    work = state.step
    if not isinstance(work, Work):
        return state
    state = _banked(state, now.s)
    under_load_s, number = round(state.under_load_s, 2), work.number
    done = SetDone(at=now.at, number=number, repetitions=state.whole, under_load_s=under_load_s, end=end)
    return _written(state, done)


def _end(state: State, how: How, now: Present) -> State:
    """Close the record: a set under way counts as far as it went, then the decision."""
    moment = state.moment(now.s)
    if moment is not None and (moment.whole or state.under_load_s):
        state = _with_set(state, "halted" if how == "stopped" else "stopped", now)
    return _written(state, closing(state.plan, state.record, how, now.at))


def stopped_by(plan: Plan, record: Record) -> Verdict | None:
    """The rule that stopped this session, from the answers alone; None where it may go on."""
    verdicts = [within(plan.before, record, plan.book, "check_in")]
    verdicts += [within(plan.before, record, plan.book, "set", number + 1) for number in range(record.dose.sets)]
    return next((verdict for verdict in verdicts if verdict is not None and verdict.stops), None)


def closing(plan: Plan, record: Record, how: How, at: datetime) -> Ended:
    """The last entry of a record, with the decision that follows from all before it."""
    return Ended(at=at, how=how, decision=decide(plan.before, record, plan.book))


def _written(state: State, *entries: Entry) -> State:
    return state._replace(record=state.record.with_entry(*entries))

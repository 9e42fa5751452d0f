"""A pain that was reported, and left before its place or its size was said: it counts as over the limit."""

from collections.abc import Callable

import pytest

from coach.model.answers_file import Answers
from coach.model.programme.session_file import ends_day
from coach.model.record import Record
from coach.progression.state_machine import advance, replay
from coach.screens.client.resume_prompts import leave_page_of, resume_page
from coach.session.interruptions import report_trouble
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.runner import answer, ask_again, back, choose, go_on, leave, take_back
from coach.session.script import Work
from coach.session.state import Instant, State
from tests.clocks import START
from tests.plans import plan_of

Told = tuple[str, ...]
KINDS = pytest.mark.parametrize("kind", ["ache", "sharp"])
LEFT_AT = pytest.mark.parametrize("told", [(), ("side_of_shoulder",)])


def reported(kind: str, told: Told, at_set: bool) -> State:
    """A client who pressed the pain key, before the first answer or before the first set, and said so much."""
    state = first_state(plan_of("tern"), START)
    if at_set:
        state = next(one for one in rehearsed_states(state, Answers()) if isinstance(one.step, Work))
    state = report_trouble(state, _now(state))
    for value in (kind, *told):
        state = answer(state, value, _now(state))
    return state


def plan_ended_by(plan: Plan, pain: int) -> Record:
    """A session of the client that pain of this size has stopped in its first set."""
    state = next(one for one in rehearsed_states(first_state(plan, START), Answers()) if isinstance(one.step, Work))
    state, now = report_trouble(state, _now(state)), _now(state)
    for value in ("ache", "neck", pain):
        state = answer(state, value, now)
    return state.record


def _now(state: State) -> Instant:
    return Instant(state.seen_s, START)


@KINDS
@LEFT_AT
@pytest.mark.parametrize("at_set", [False, True])
def test_it_stops_and_lowers_the_load_and_tells_the_therapist(kind: str, told: Told, at_set: bool) -> None:
    """Once: "No set was done, so nothing changes. Come back when it suits you.\""""
    state = reported(kind, told, at_set)
    messages = state.plan.content.messages.client.offer
    assert messages.leave_pain in leave_page_of(state, "").lines
    left = leave(state, _now(state))
    ended = left.record.ended
    assert ended is not None
    assert (ended.how, ended.decision.rule, ended.decision.move) == ("stopped", "pain_left_open", "stop")
    assert ended.decision.load == state.record.rungs.easier
    after = advance(state.plan.before, left.record, state.plan.book).after
    assert (after.status, after.pain_stops) == ("paused", (START.date(),))


def test_a_second_one_within_the_weeks_that_count_ends_in_review() -> None:
    state = reported("ache", (), True)
    assert state.record.answer("check_in.pain_now") == 0
    before = state.plan.before.model_copy(update={"pain_stops": (START.date(),)})
    judged = advance(before, leave(state, _now(state)).record, state.plan.book)
    assert (judged.after.status, list(judged.decision.tell)) == ("review", ["pain_stop_again"])
    assert judged.decision.tell["pain_stop_again"].startswith("Pain ? of 10;"), "not that of the check-in"


def test_a_size_that_was_chosen_and_not_confirmed_was_said() -> None:
    state = reported("ache", ("neck",), False)
    chosen = choose(state, 9, _now(state))
    assert chosen.chosen is not None
    messages = state.plan.content.messages.client.offer
    assert messages.leave_pain not in leave_page_of(chosen, "").lines
    assert messages.resume_pain not in resume_page(state.plan, chosen.record).lines
    ended = leave(chosen, _now(state)).record.ended
    assert ended is not None
    assert ended.decision.rule == "pain_over_limit"


def test_a_trouble_that_was_chosen_and_taken_back_leaves_the_question_as_it_was() -> None:
    """Once the report of pain before it was forgotten with it."""
    state = reported("sharp", (), True)
    asked, now = state.asking, _now(state)
    state = take_back(choose(report_trouble(state, now), "chest_pain", now), now)
    assert back(state, now).asking == asked
    assert ask_again(state, now).asking == asked


def test_of_several_exercises_none_follows_it() -> None:
    """How strong the pain is nobody knows."""
    plan, state = plan_of("tern"), reported("ache", (), False)
    left = leave(state, _now(state)).record
    assert left.ended is not None
    assert ends_day(left, left.ended)
    assert not ends_day(plan_ended_by(plan, 6), plan_ended_by(plan, 6).ended or left.ended)


def test_a_record_of_an_earlier_version_that_was_told_otherwise_counts_as_no_stop() -> None:
    """What a client was told stays: no upgrade makes a stop of it."""
    plan, state = plan_of("tern"), reported("sharp", (), False)
    left = leave(state, _now(state)).record
    ended = left.ended
    assert ended is not None
    told = ended.decision.model_copy(update={"move": "hold", "rule": "no_set_done", "status": "active"})
    record = left.model_copy(update={"entry": (*left.entry[:-1], ended.model_copy(update={"decision": told}))})
    after = replay(plan.before, record, plan.book).after
    assert (after.status, after.pain_stops) == ("active", ())


@pytest.mark.parametrize(
    ("then", "rule"),
    [
        (lambda state, now: answer(answer(state, "neck", now), 2, now), "pain_not_said"),
        (lambda state, now: answer(answer(state, "neck", now), 9, now), "pain_over_limit"),
        (lambda state, now: answer(state, "chest", now), "warning_sign"),
        (lambda state, now: back(back(state, now), now), "pain_not_said"),
        (lambda state, now: take_back(choose(report_trouble(state, now), "equipment", now), now), "pain_left_open"),
        (lambda state, now: answer(report_trouble(state, now), "chest", now), "warning_sign"),
    ],
)
def test_what_counts_of_one_that_was_said_or_taken_back(then: Callable[[State, Instant], State], rule: str) -> None:
    state = reported("sharp", (), False)
    ended = leave(then(state, _now(state)), _now(state)).record.ended
    assert ended is not None
    assert ended.decision.rule == rule


@LEFT_AT
def test_what_it_lacks_is_asked_before_anything_goes_on(told: Told) -> None:
    state = reported("ache", told, True)
    asked = state.asking
    assert asked is not None
    now = _now(state)
    first = back(report_trouble(state, now), now)  # the pain key again, and one back from its first question
    assert first.asking == asked
    assert ask_again(state, now).asking == asked
    assert go_on(first, now) == first

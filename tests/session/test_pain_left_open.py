"""What was reported with the pain key and left before it was said what it is, where or how strong: it counts."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.programme.session_file import closes_every_exercise, ends_day
from coach.model.record import Answered, Record
from coach.progression.pain_reports import PRESSED, left_open
from coach.progression.state_machine import advance, replay
from coach.screens.client.resume_prompts import leave_page_of, resume_page
from coach.session.interruptions import report_trouble, skip_set
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.runner import answer, ask_again, back, choose, go_on, leave, take_back
from coach.session.script import Rest, Show, Step, Work
from coach.session.state import Instant, State
from tests.clocks import START
from tests.plans import plan_of
from tests.session.test_pain_taken_back import stood

Told = tuple[str, ...]
TOLD = [(), ("ache",), ("sharp",), ("ache", "side_of_shoulder"), ("sharp", "side_of_shoulder")]
LEFT_AT = pytest.mark.parametrize("told", TOLD)


def reported(told: Told, at_set: bool) -> State:
    """A client who pressed the pain key, before the first answer or before the first set, and said so much."""
    state = first_state(plan_of("tern"), START)
    if at_set:
        state = next(one for one in rehearsed_states(state, Answers()) if isinstance(one.step, Work))
    state = report_trouble(state, _now(state))
    for value in told:
        state = answer(state, value, _now(state))
    return state


def plan_ended_by(plan: Plan, pain: int, step: type[Step] = Work, sets_done: int = 1) -> Record:
    """A session of the client that pain of this size has stopped at such a step, after so many sets."""
    states = (one for one in rehearsed_states(first_state(plan, START), Answers()) if isinstance(one.step, step))
    state = next(one for one in states if len(one.record.sets_done) == sets_done)
    state, now = report_trouble(state, _now(state)), _now(state)
    for value in ("ache", "neck", pain):
        state = answer(state, value, now)
    return state.record


def _now(state: State) -> Instant:
    return Instant(state.seen_s, START)


@LEFT_AT
@pytest.mark.parametrize("at_set", [False, True])
def test_it_stops_and_lowers_the_load_and_tells_the_therapist(told: Told, at_set: bool) -> None:
    """Once: "No set was done, so nothing changes. Come back when it suits you.\""""
    state = reported(told, at_set)
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
    state = reported(("ache",), True)
    assert state.record.answer("check_in.pain_now") == 0
    before = state.plan.before.model_copy(update={"pain_stops": (START.date(),)})
    judged = advance(before, leave(state, _now(state)).record, state.plan.book)
    assert (judged.after.status, list(judged.decision.tell)) == ("review", ["pain_stop_again"])
    assert judged.decision.tell["pain_stop_again"].startswith("Pain ? of 10;"), "not that of the check-in"


def test_a_size_that_was_chosen_and_not_confirmed_was_said() -> None:
    state = reported(("ache", "neck"), False)
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
    state = reported(("sharp",), True)
    asked, now = state.asking, _now(state)
    state = take_back(choose(report_trouble(state, now), "chest_pain", now), now)
    again = back(state, now)
    assert again.asking == asked
    assert ask_again(again, now).asking == asked


def test_of_several_exercises_none_follows_it() -> None:
    """How strong the pain is nobody knows."""
    state = reported(("ache",), False)
    left = leave(state, _now(state)).record
    assert left.ended is not None
    assert ends_day(left, left.ended)


@pytest.mark.parametrize(("step", "sets_done", "of_all"), [(Work, 1, False), (Show, 0, True), (Work, 0, True)])
def test_pain_before_the_first_set_is_of_no_exercise_and_ends_the_day(
    step: type[Step], sets_done: int, of_all: bool
) -> None:
    """Once a 7 of 10 that was said with the pain key at the check-in let the next exercise follow."""
    record = plan_ended_by(plan_of("tern"), 7, step, sets_done)
    assert record.ended is not None
    assert record.ended.decision.rule == "pain_over_limit"
    assert ends_day(record, record.ended) == of_all


def test_a_record_of_an_earlier_version_that_was_told_otherwise_counts_as_no_stop() -> None:
    """What a client was told stays: no upgrade makes a stop of it."""
    plan, state = plan_of("tern"), reported(("sharp",), False)
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
    state = reported(("sharp",), False)
    ended = leave(then(state, _now(state)), _now(state)).record.ended
    assert ended is not None
    assert ended.decision.rule == rule


@LEFT_AT
def test_what_it_lacks_is_asked_before_anything_goes_on(told: Told) -> None:
    state = reported(told, True)
    asked = state.asking
    assert asked is not None
    now = _now(state)
    assert ask_again(state, now).asking == asked
    assert go_on(state, now) == state
    if told:  # the pain key again, and one back from its first question
        assert back(report_trouble(state, now), now).asking == asked


def test_the_key_pressed_and_taken_back_changes_nothing() -> None:
    """Also pressed twice, and after an earlier report that was said in full."""
    state, now = reported((), True), Instant(0.0, START)
    twice = report_trouble(state, now)
    assert twice.record == state.record
    free = back(twice, now)
    assert (free.asking, free.record.answers) == (None, _without_key(free))
    said = answer(answer(answer(report_trouble(free, now), "ache", now), "neck", now), 1, now)
    assert back(report_trouble(said, now), now).asking is None
    for one in (free, said):
        ended = leave(one, now).record.ended
        assert ended is not None
        assert ended.decision.move == "hold"


def test_another_key_takes_back_no_report() -> None:
    states = rehearsed_states(first_state(plan_of("tern"), START), Answers())
    state = report_trouble(next(one for one in states if isinstance(one.step, Rest)), Instant(0.0, START))
    for value in ("ache", "neck", 1):
        state = answer(state, value, _now(state))
    asked = skip_set(state, _now(state))
    assert asked.asking is not None
    assert back(asked, _now(state)).record == state.record


def _without_key(state: State) -> dict[str, int | str]:
    return {step: value for step, value in state.record.answers.items() if "key" not in step}


def test_what_it_counts_as_is_kept_when_the_kind_is_taken_back_and_the_question_left() -> None:
    """One back from "Where is it?" asks again what it is: whoever leaves there has not taken back the report."""
    state = reported(("ache",), False)
    ended = leave(back(state, _now(state)), _now(state)).record.ended
    assert ended is not None
    assert ended.decision.rule == "pain_left_open"


@pytest.mark.parametrize(
    ("to_question", "value"), [("check_in.pain_now", 6), ("check_in.sign", "chest_pain"), ("set_1.pain", 7)]
)
def test_an_ending_answer_taken_back_and_not_given_again_is_told_to_the_therapist(
    to_question: str, value: int | str
) -> None:
    """Once it left no trace. The load holds, as the question is not answered."""
    states = rehearsed_states(first_state(plan_of("tern"), START), Answers())
    state = next(one for one in states if one.question is not None and one.question.name == to_question)
    now = _now(state)
    chosen = choose(state, value, now)
    assert chosen.chosen is not None
    open_again = take_back(chosen, now)
    ended = leave(open_again, now).record.ended
    assert ended is not None
    assert ended.decision.move == "hold"
    assert list(ended.decision.tell) == ["not_clear"]
    said = state.plan.content.messages.rules.not_clear["answer_taken_back"]
    assert said in ended.decision.tell["not_clear"]
    answered = leave(answer(open_again, 0 if isinstance(value, int) else "none", now), now).record.ended
    assert answered is not None
    assert not answered.decision.tell, "a slip that was put right"


@pytest.mark.parametrize(
    ("told", "tells"), [((), []), *((told, ["not_clear"]) for told in (("ache",), ("sharp",), ("sharp", "neck")))]
)
def test_a_pain_that_was_left_for_a_band_that_failed_is_told_to_the_therapist(told: Told, tells: list[str]) -> None:
    """The band may have hit the client: what failed decides, and the pain is asked about."""
    state = reported(told, True)
    now = _now(state)
    chosen = choose(report_trouble(state, now), "equipment", now)
    ended = leave(chosen, now).record.ended
    assert ended is not None
    assert (ended.decision.rule, list(ended.decision.tell)) == ("equipment_failed", tells)


@pytest.mark.parametrize("before", ["pressed", "ache"])
def test_the_check_in_ends_the_day_also_after_a_report_with_the_pain_key(before: str) -> None:
    """Once a report before the answer let the next exercise follow."""
    state = reported((), False)
    now = _now(state)
    if before == "pressed":
        state = back(state, now)
    else:
        for value in ("ache", "neck", 1):
            state = answer(state, value, now)
    states = rehearsed_states(state, Answers(answer={"check_in.pain_now": 7}))
    *_, last = states
    ended = last.record.ended
    assert ended is not None
    assert ended.decision.rule == "pain_over_limit"
    assert ends_day(last.record, ended)


@pytest.mark.parametrize(("value", "rule"), [(7, "pain_over_limit"), (0, "unclean")])
def test_a_check_in_asked_again_ends_the_day_only_where_it_stops(value: int, rule: str) -> None:
    """A set was done, an hour passed, and the check-in is asked again; after 12 weeks the therapist looks besides."""
    plan = plan_of("tern")
    before = plan.before.model_copy(update={"first_session": START - timedelta(weeks=13)})
    plan = replace(plan, before=before)
    states = rehearsed_states(first_state(plan, START), Answers())
    state = next(one for one in states if one.record.sets_done and isinstance(one.step, Rest))
    now = _now(state)
    state = ask_again(state, now)
    again = take_back(choose(state, 7, now), now)
    left = leave(again, now).record.ended
    assert left is not None
    assert "not_clear" in left.decision.tell, "the answer of an hour ago does not answer it"
    last = leave(answer(again, value, now), now).record
    assert last.ended is not None
    assert (last.ended.decision.rule, last.ended.decision.status) == (rule, "review")
    assert "not_clear" not in last.ended.decision.tell
    assert ends_day(last, last.ended) == (value == 7)
    assert closes_every_exercise(last, last.ended.decision) == (value == 7)


@pytest.mark.parametrize(("part", "stops"), [(0, 2), (1, 1)])
def test_a_check_in_that_stops_two_exercises_is_one_stop(part: int, stops: int) -> None:
    """It once counted for each, and the next one was "not the first stop for pain" too early."""
    states = rehearsed_states(first_state(plan_of("tern"), START), Answers(answer={"check_in.pain_now": 7}))
    *_, last = states
    before = last.plan.before.model_copy(update={"pain_stops": (START.date(),)})
    record = last.record.model_copy(update={"part": part})
    assert len(replay(before, record, last.plan.book).after.pain_stops) == stops


def test_a_sharp_pain_that_was_described_is_told_as_one() -> None:
    state = reported(("sharp", "neck"), True)
    ended = leave(answer(state, 1, _now(state)), _now(state)).record.ended
    assert ended is not None
    assert state.plan.content.messages.rules.not_clear["pain_sharp"] in ended.decision.tell["not_clear"]


def test_what_is_left_open_is_in_the_set_of_the_last_report() -> None:
    """After one that was said in full in the set before."""
    state = reported((), True)
    first, second = step_names.in_set(1, step_names.PAIN_KEY), step_names.in_set(2, step_names.PAIN_KEY)
    said = answer(answer(answer(state, "ache", _now(state)), "neck", _now(state)), 1, _now(state)).record
    assert said.answer(first) == PRESSED
    pressed = said.with_entry(Answered(at=START, step=second, value=PRESSED))
    assert left_open(pressed.entry) == ("set_2.trouble", "set_2.trouble_where", "set_2.trouble_pain")


def test_the_key_does_nothing_over_a_choice_and_after_the_end() -> None:
    """A choice that ends the session is confirmed or taken back first; its page says whom to call."""
    state = reported((), True)
    now = _now(state)
    chosen = choose(state, "chest_pain", now)
    assert report_trouble(chosen, now) == chosen
    over = leave(chosen, now)
    assert over.over
    assert report_trouble(over, now) == over


@pytest.mark.parametrize("sign", ["chest_pain", "numb_or_weak"])
def test_a_sign_of_the_pain_key_that_was_taken_back_never_leads_to_a_rise(sign: str) -> None:
    """`p`, the sign, n, b, and a whole clean session: once it ended in a rise, and nobody was told."""
    plan = stood()
    states = rehearsed_states(first_state(plan, START), Answers())
    state = next(one for one in states if isinstance(one.step, Work))
    now = _now(state)
    free = back(take_back(choose(report_trouble(state, now), sign, now), now), now)
    assert free.asking is None
    *_, last = rehearsed_states(go_on(free, now), Answers())
    ended = last.record.ended
    assert ended is not None
    assert ended.decision.rule == "pain_not_said"
    assert "not_clear" in ended.decision.tell


def test_an_answer_given_in_its_place_and_taken_back_leaves_it_open() -> None:
    """After a set: 8, n, 2, b and left."""
    states = rehearsed_states(first_state(plan_of("tern"), START), Answers())
    state = next(one for one in states if one.question is not None and one.question.name == "set_1.pain")
    now = _now(state)
    state = answer(take_back(choose(state, 8, now), now), 2, now)
    ended = leave(back(state, now), now).record.ended
    assert ended is not None
    assert list(ended.decision.tell) == ["not_clear"]
    answered = leave(state, now).record.ended
    assert answered is not None
    assert not answered.decision.tell


def test_where_a_choice_waits_the_pain_key_is_not_offered() -> None:
    """It does nothing there: the choice is confirmed or taken back first."""
    state = reported(("ache", "neck"), False)
    chosen = choose(state, 9, _now(state))
    for one, keys in ((state, ["y", "n", "p"]), (chosen, ["y", "n"])):
        for page in (leave_page_of(one, ""), resume_page(one.plan, one.record)):
            assert [option.key for option in page.choices] == keys
            offer = one.plan.content.messages.client.offer
            assert offer.resume_no not in [option.text for option in page.choices]

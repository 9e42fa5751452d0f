"""The runner: time only passes, keys decide, and a stop is a stop."""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from coach.model.record import LoadChanged, SetDone
from coach.session.answer_keys import choices
from coach.session.interruptions import report_trouble
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, back, go_on, leave, pause, stop_set, tick
from coach.session.script import Rest, Work, remaining_script, turn_script
from coach.session.state import Instant, State, Stopwatch
from tests.clocks import START
from tests.plans import begun


def present(s: float) -> Instant:
    """The present so many seconds after the start."""
    return Instant(s, START + timedelta(seconds=round(s)))


def at_the_set(state: State, number: int, s: float, given_answers: dict[str, int | str] | None = None) -> State:
    """Go on, with clean answers but for those given, until set `number` begins at `s`."""
    wanted = given_answers or {}
    for _ in range(100):
        if isinstance(state.step, Work) and state.step.number == number:
            return state._replace(watch=Stopwatch().started(s), seen_s=s)
        question = state.question
        if question is not None:
            value = wanted.get(question.name, clean_answer(question))
            state = answer(state, value, present(s))
        elif isinstance(state.step, Work):
            state = stop_set(state._replace(whole=1), present(s))  # a whole repetition, so that form is asked about
        else:
            state = go_on(state, present(s))
    raise AssertionError(f"set {number} never began")


@given(st.lists(st.floats(min_value=0.001, max_value=1.99), min_size=1, max_size=400))
@settings(max_examples=60)
def test_any_schedule_of_ticks_gives_the_same_set(gaps: list[float]) -> None:
    """Nothing is counted in ticks: however they fall, the set ends with the same repetitions and time under load."""
    state = at_the_set(begun(), 1, 0.0)
    work, s = state.step, 0.0
    assert isinstance(work, Work)
    while not state.record.sets_done:
        s += gaps[int(s * 7) % len(gaps)]
        moment = state.moment(s)
        assert moment is not None
        assert moment.whole == min(work.time.repetitions, _whole_at(s))
        state = tick(state, present(s))
    done = state.record.sets_done[0]
    assert (done.repetitions, done.under_load_s, done.end) == (8, 8 * (3 + 2 + 3), "done")
    assert s - 2 < work.time.total_s <= s


def _whole_at(s: float) -> int:
    """Repetitions whose return has ended, by hand: 20 s count-in, then 8 s of load and 2 s relaxed each."""
    return max(0, int((s - 20 + 2) // 10))


def test_a_gap_pauses_where_the_screen_was_last_seen() -> None:
    """A closed lid for an hour: the repetitions before it count, none is made up for the hour."""
    state = at_the_set(begun(), 1, 0.0)
    for s in range(42):
        state = tick(state, present(float(s)))
    state = tick(state, present(3600.0))
    assert state.paused
    assert state.whole == 2
    assert state.under_load_s == pytest.approx(2 * 8 + 1)
    state = go_on(state, present(3601.0))
    moment = state.moment(3601.0)
    assert moment is not None
    assert (moment.phase, moment.repetition) == ("count_in", 3)


def test_a_pause_shorter_than_the_gap_is_none() -> None:
    """1.9 s between two looks is a slow screen, not an absence."""
    state = at_the_set(begun(), 1, 0.0)
    state = tick(tick(state, present(0.1)), present(2.0))
    assert not state.paused


def test_step_down_within_the_session_from_the_next_set_on() -> None:
    """End range lost twice in set 1: one grade lighter at the same mark before set 2 (common practice, no source)."""
    too_heavy: dict[str, int | str] = {"set_1.range": "more_than_once"}
    state = at_the_set(begun(), 2, 0.0, too_heavy)
    before, now = state.record.rungs.step, state.record.current_rungs.step
    assert (before.grade, now.grade) == ("knotted", "striped")
    assert before.distance_cm == now.distance_cm
    assert [type(entry) for entry in state.record.entry].count(LoadChanged) == 1


def test_the_new_setup_is_shown_before_the_rest() -> None:
    """After a step down the client changes the setup and confirms it; without one nothing is shown."""
    too_heavy: dict[str, int | str] = {"set_1.blade": "more_than_once"}
    assert "set_2.setup_again" in _names_on_the_way(too_heavy)
    assert "set_2.setup_again" not in _names_on_the_way({})


def _names_on_the_way(given_answers: dict[str, int | str]) -> list[str]:
    state, names = at_the_set(begun(), 1, 0.0), []
    state = stop_set(state._replace(whole=1), present(1.0))
    while not isinstance(state.step, Rest):
        names.append(state.step.name)
        question = state.question
        if question is None:
            state = go_on(state, present(1.0))
        else:
            state = answer(state, given_answers.get(question.name, clean_answer(question)), present(1.0))
    return names


@pytest.mark.parametrize(("pain", "over"), [(5, False), (6, True)])
def test_five_goes_on_six_stops(pain: int, over: bool) -> None:
    """Pain during exercise must not exceed 5 of 10: Holmgren T et al., BMJ 2012;344:e787 (read)."""
    state = at_the_set(begun(), 1, 0.0)
    state = answer(report_trouble(state, present(20.0)), "ache", present(21.0))
    state = answer(state, "side_of_shoulder", present(22.0))
    state = answer(state, pain, present(23.0))
    assert state.over is over


def test_back_changes_an_answer_and_only_within_its_set() -> None:
    """One back, another answer: the last one counts, and the first stays in the record."""
    state = stop_set(at_the_set(begun(), 1, 0.0)._replace(whole=1), present(1.0))
    state = answer(state, 0, present(2.0))
    state = back(state, present(3.0))
    assert state.step.name == "set_1.pain"
    assert back(state, present(3.0)).step.name == "set_1.pain"
    state = answer(state, 3, present(4.0))
    assert state.record.answer("set_1.pain") == 3
    assert [entry.kind for entry in state.record.entry].count("answer") >= 2


def test_after_the_end_nothing_changes() -> None:
    """No key, no answer and no time goes on after a stop."""
    state = leave(at_the_set(begun(), 1, 0.0), present(5.0))
    assert state.over
    for key in (go_on, back, pause, stop_set, report_trouble, leave, tick):
        assert key(state, present(50.0)).record == state.record
    assert answer(state, "yes", present(50.0)).record == state.record


def test_a_check_answered_no_is_asked_again_or_stops() -> None:
    """An anchor that slips is mended and asked again; a torn band ends the session for today."""
    state = begun()
    while state.step.name != "check.anchor_holds":
        question = state.question
        state = (
            go_on(state, present(1.0)) if question is None else answer(state, clean_answer(question), present(1.0))
        )
    again = answer(state, "no", present(2.0))
    assert (again.step.name, again.over) == ("check.anchor_holds", False)
    stopped = answer(back(again, present(2.0)), "no", present(3.0))
    assert stopped.over
    ended = stopped.record.ended
    assert ended is not None
    assert (ended.decision.rule, ended.decision.status) == ("equipment_failed", "paused")


@given(st.lists(st.integers(min_value=0, max_value=9), min_size=20, max_size=120))
@settings(max_examples=60)
def test_whatever_is_pressed_the_session_can_be_ended(keys: list[int]) -> None:
    """From every state that random keys lead to, leaving and the pain key still work, and the record reads well."""
    state, s = begun(), 0.0
    for key in keys:
        s += 0.7 * key
        question = state.question
        if question is not None and key > 1:
            options = choices(question, state.plan.content.signs)
            state = answer(state, options[key % len(options)].value, present(s))
        else:
            state = (go_on, back, pause, stop_set, report_trouble, tick, go_on, go_on, go_on, tick)[key](
                state, present(s)
            )
    assert state.over or report_trouble(state, present(s)).asking is not None
    ended = leave(state, present(s)).record
    assert ended.ended is not None
    assert type(ended).model_validate(ended.model_dump()) == ended
    numbers = [entry.number for entry in ended.entry if isinstance(entry, SetDone)]
    assert numbers == sorted(set(numbers))


def test_relaxing_between_repetitions_is_no_time_under_load() -> None:
    """20 s of count-in, 8 s of load, then paused one second into the relaxing: one repetition, 8 s."""
    state = at_the_set(begun(), 1, 0.0)
    for s in range(29):
        state = tick(state, present(float(s)))
    state = pause(state, present(29.0))
    assert (state.whole, state.under_load_s) == (1, 8)


def test_a_set_of_one_repetition_shows_neither_a_relaxing_nor_a_last_one() -> None:
    work = at_the_set(begun(), 1, 0.0).step
    assert isinstance(work, Work)
    assert dict(replace(work.time, repetitions=1).shown_moments()) == {"out": 21.5, "hold": 24.0, "back": 26.5}
    assert [name for name, _ in work.time.shown_moments()] == ["out", "hold", "back", "relax", "last"]


def test_before_a_set_that_a_key_begins_there_is_time_to_walk_to_the_mark() -> None:
    """The first set, and the first after an interruption; after a rest the client is there already."""
    state = begun()
    sets = {step.number: step.time.count_in_s for step in state.script.steps if isinstance(step, Work)}
    assert sets == {1: 20, 2: 10, 3: 10}
    assert state.count_in_s == 20
    done = answer(at_the_set(state, 2, 0.0), 0, present(0.0)).record
    left = remaining_script(state.script, done)
    assert [step.time.count_in_s for step in left.steps if isinstance(step, Work)] == [20, 10]
    turn = turn_script(state.script, done, 0.0, 20.0)
    assert [step.time.count_in_s for step in turn.steps if isinstance(step, Work)] == [20, 10]
    rested = turn_script(state.script, done, 30.0, 20.0)
    assert [step.time.count_in_s for step in rested.steps if isinstance(step, Work)] == [10, 10]


@pytest.mark.parametrize(("left_s", "count_in_s"), [(3, 17), (10, 10), (40, 10)])
def test_a_rest_that_a_key_resumes_leaves_time_to_walk_to_the_mark(left_s: int, count_in_s: int) -> None:
    """What is left of the rest, and the count-in after it, are 20 seconds together at least."""
    state = stop_set(at_the_set(begun(), 1, 0.0)._replace(whole=1), present(0))
    while state.question is not None:
        state = answer(state, clean_answer(state.question), present(0))
    assert isinstance(state.step, Rest)
    at_s = state.step.seconds - left_s
    paused = pause(state._replace(seen_s=at_s), present(at_s))
    resumed = go_on(paused, present(at_s + 60))
    assert (resumed.rest_left_s(at_s + 60), resumed.count_in_s) == (left_s, count_in_s)
    done = tick(resumed._replace(seen_s=at_s + 60 + left_s), present(at_s + 60 + left_s))
    assert isinstance(done.step, Work)
    assert done.step.time.count_in_s == count_in_s

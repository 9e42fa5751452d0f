"""Signals and gaps: whatever the schedule of looks at the clock, the same signals at the same times."""

from datetime import UTC, datetime
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.prescription import Tempo
from coach.session.plan import Plan, open_record, plan_session, script_of
from coach.session.runner import go_on, pause, tick
from coach.session.script import Rest, Work
from coach.session.signals import Signal, set_signals, signals_between, until_change_s
from coach.session.state import Instant, State
from coach.session.tempo import SetTiming, moment_at
from coach.session.transitions import begin
from coach.store.client_store import ClientStore
from tests.demo.pristine import DEMO

AT = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
TREE = Path(__file__).parents[2]


@cache
def plan() -> Plan:
    content = load_content(content_folder(), "en")
    client = ClientStore.read(DEMO / "tern", content)
    return plan_session(client.profile, client.prescription, content, client.folded_progress)


def at_first(kind: type[Work] | type[Rest], now_s: float) -> State:
    """The state at the first step of a kind, its time just begun."""
    record = open_record(plan(), AT)
    script = script_of(plan(), record)
    index = next(number for number, step in enumerate(script.steps) if isinstance(step, kind))
    script = replace(script, steps=script.steps[index:])
    return begin(plan(), script, record, Instant(now_s, AT))


def looked_at(state: State, times_s: list[float]) -> list[tuple[str, float]]:
    """Every signal found by looking at these times, with the time at which it was due."""
    found: list[tuple[str, float]] = []
    began_s = state.watch.since_s or 0.0
    step = state.step
    for at_s in times_s:
        after = tick(state, Instant(at_s, AT))
        found += [(signal.name, began_s + signal.at_s) for signal in signals_between(state, after)]
        state = after
        if state.step is not step:
            break
    return found


# Steps between looks, all below the gap that pauses; their sum is longer than any set of this profile.
STEPS = st.lists(st.floats(0.001, 1.9), min_size=1, max_size=40)


def schedule(steps: list[float], from_s: float, length_s: float) -> list[float]:
    times, at_s, number = [], from_s, 0
    while at_s < from_s + length_s:
        at_s += steps[number % len(steps)] if sum(steps) > 0.5 else 0.5
        times.append(at_s)
        number += 1
    return times


@settings(max_examples=60)
@given(steps=STEPS, from_s=st.floats(0, 1e6))
def test_any_schedule_finds_the_same_signals_of_a_set(steps: list[float], from_s: float) -> None:
    state = at_first(Work, from_s)
    time = state.remaining_set
    assert time is not None
    found = looked_at(state, schedule(steps, from_s, time.total_s + 2))
    assert [name for name, _ in found] == expected_names(time)
    assert [due_s - from_s for _, due_s in found] == pytest.approx(expected_times(time), abs=1e-6)


def expected_names(time: SetTiming) -> list[str]:
    """Said again by hand: tern counts in for 20 s before its first set, and holds and relaxes in each repetition."""
    one = ["hold", "back", "relax"]
    names = ["count"] * 19
    for _ in range(time.repetitions - 1):
        names += ["out", *one]
    return [*names, "last_repetition", "hold", "back", "set_over"]


def expected_times(time: SetTiming) -> list[float]:
    """20 s of count-in, then 3 s out, 2 s hold, 3 s back, 2 s relaxed: ten seconds a repetition."""
    times = [float(second) for second in range(1, 20)]
    for repetition in range(1, time.repetitions + 1):
        times += [10.0 * (repetition + 1) + part for part in (0, 3, 5, 8)]
    return times


@settings(max_examples=40)
@given(steps=STEPS)
def test_any_schedule_finds_the_end_of_the_rest_once(steps: list[float]) -> None:
    state = at_first(Rest, 100.0)
    assert looked_at(state, schedule(steps, 100.0, 62)) == [("rest_over", 160.0)]


TEMPI = st.builds(
    Tempo,
    out_s=st.floats(1, 10),
    hold_s=st.sampled_from([0.0, 0.5, 2.0]),
    back_s=st.floats(1, 10),
    relax_s=st.sampled_from([0.0, 1.0, 3.5]),
)


@settings(max_examples=100)
@given(tempo=TEMPI, repetitions=st.integers(1, 30), count_in_s=st.integers(3, 60))
def test_each_signal_stands_where_the_time_course_changes(tempo: Tempo, repetitions: int, count_in_s: int) -> None:
    """Just after a signal the moment is in the phase that it names, just before it is not yet."""
    time = SetTiming(count_in_s, repetitions, tempo)
    signals = list(set_signals(time))
    assert all(one.at_s < other.at_s for one, other in pairwise(signals))
    for signal in signals:
        phase = {"count": "count_in", "last_repetition": "out", "set_over": "over"}.get(signal.name, signal.name)
        before, after = moment_at(time, signal.at_s - 1e-6), moment_at(time, signal.at_s + 1e-6)
        assert after.phase == phase
        assert signal.name == "count" or (before.phase, before.repetition) != (after.phase, after.repetition)
    assert [signal.name for signal in signals].count("last_repetition") == 1
    assert signals[-1] == Signal(time.total_s, "set_over")


@settings(max_examples=200)
@given(gone_s=st.floats(0, 60))
def test_the_next_change_is_never_passed_over(gone_s: float) -> None:
    """At the time that is armed, the word or the number has changed; before it, it has not."""
    state = at_first(Work, 0.0)
    wait_s = until_change_s(state, gone_s)
    assert wait_s is not None
    assert 0 <= wait_s <= 1
    seen = [face(state, gone_s + part * wait_s) for part in (0.0, 0.5, 0.99)]
    assert seen[0] == seen[1] == seen[2] or wait_s < 1e-6
    assert face(state, gone_s + wait_s + 1e-6) != seen[0]


def face(state: State, now_s: float) -> tuple[str, int, int]:
    """What is read from afar."""
    moment = state.moment(now_s)
    assert moment is not None
    return moment.phase, moment.repetition, max(1, -int(-moment.left_s // 1))


def test_nothing_is_armed_where_nothing_runs() -> None:
    state = at_first(Work, 0.0)
    assert until_change_s(pause(state, Instant(5.0, AT)), 6.0) is None


def test_a_gap_pauses_where_the_session_was_last_seen_and_makes_up_for_no_signal() -> None:
    state = at_first(Work, 0.0)
    for number in range(22):
        state = tick(state, Instant(1.0 + 1.5 * number, AT))
    after = tick(state, Instant(41.0, AT))
    assert after.paused
    assert after.whole == 1
    assert signals_between(state, after) == ()
    again = go_on(after, Instant(50.0, AT))
    moment = again.moment(50.0)
    assert moment is not None
    assert (moment.phase, moment.repetition) == ("count_in", 2)


def test_a_gap_in_the_rest_keeps_the_seconds_left() -> None:
    state = tick(at_first(Rest, 0.0), Instant(1.5, AT))
    after = tick(state, Instant(30.0, AT))
    assert after.paused
    assert after.rest_left_s(500.0) == pytest.approx(58.5)


@pytest.mark.parametrize("gap_s", [1.99, 2.01])
def test_the_gap_that_pauses_is_the_one_in_the_limits(gap_s: float) -> None:
    state = tick(at_first(Work, 0.0), Instant(1.0, AT))
    assert tick(state, Instant(1.0 + gap_s, AT)).paused == (gap_s > plan().limits["gap_s"])

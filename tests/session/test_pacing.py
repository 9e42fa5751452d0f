"""The tempo is led less and less as sets stay clean, timed now and then, and off it lets nothing rise."""

from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.model.answers_file import Answers
from coach.model.progress import Progress
from coach.model.record import OwnTempo
from coach.progression.state_machine import advance
from coach.screens.client.page_types import SetPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.session.interruptions import report_trouble
from coach.session.lessons.pacing import is_paced, pace_after
from coach.session.plan import Plan, script_of
from coach.session.rehearsal import first_state, rehearse, rehearsed_states
from coach.session.runner import back, go_on, tick
from coach.session.script import Show, Trial, Work, remaining_script
from coach.session.signals import set_signals
from coach.session.state import Instant, State
from coach.session.tempo import SetTiming
from tests.clocks import START
from tests.plans import plan_of, shipped
from tests.session.timing import RIGHT_S, SLIPS_IN, Life, lives, told

_SESSIONS = 24


def plan(**update: object) -> Plan:
    """Tern's plan with another state of the programme."""
    return replace(plan_of("tern"), before=plan_of("tern").before.model_copy(update=update))


def after(some: Plan, **given: int | str) -> Progress:
    """The progress after a session; a double underscore in a name stands for its dot."""
    answers = Answers(answer={name.replace("__", "."): value for name, value in given.items()})
    record, _ = rehearse(some, answers, START)
    return advance(some.before, record, some.book).after


def trial(took_s: float) -> OwnTempo:
    return OwnTempo(at=START, repetitions=3, took_s=took_s, right_s=RIGHT_S)


@pytest.mark.parametrize(
    ("sets", "pace"),
    [(0, "seconds"), (5, "seconds"), (6, "phases"), (11, "phases"), (12, "ends"), (17, "ends"), (18, "none")],
)
def test_less_of_the_tempo_is_led_the_longer_sets_stay_clean(sets: int, pace: str) -> None:
    """Stages of ours; that live feedback helps timing: Riel H et al., Med Sci Sports Exerc 2018;50:28 (abstract)."""
    assert pace_after(sets, plan().limits) == pace


def test_clean_sets_are_counted_over_sessions_and_a_fault_counts_from_nothing() -> None:
    assert after(plan(pace_sets=2)).pace_sets == 5
    assert after(plan(pace_sets=8), set_2__tempo="once", set_2__elbow="once").pace_sets == 1
    assert after(plan(pace_sets=8), set_3__tempo="once").pace_sets == 0


@pytest.mark.parametrize(
    "given", [{"set_1__pain": 5}, {"set_1__blade": "more_than_once"}, {"check_in__settled": "not_yet"}]
)
def test_full_pace_is_back_after_pain_and_after_less_load(given: dict[str, int | str]) -> None:
    """Less load is a new setup."""
    heavier = plan(pace_sets=9, last_session=START - timedelta(days=2), usual_pain=0)
    heavier = replace(heavier, step=heavier.ladder.steps[len(heavier.ladder.steps) // 2])
    assert after(heavier, **given).pace_sets == 0


def test_full_pace_is_back_after_a_rise_of_the_load() -> None:
    ready = plan(pace_sets=9, ready_sessions=1, repetitions=15, first_session=START - timedelta(days=60))
    risen = after(ready)
    assert risen.decision is not None
    assert (risen.decision.rule, risen.pace_sets) == ("load_up", 0)


def test_full_pace_is_back_in_the_first_set_after_a_rise_of_repetitions() -> None:
    """The fading goes on in the next set: with a rise in most clean sessions it would never begin otherwise."""
    risen = after(plan(pace_sets=9, ready_sessions=0, repetitions=10, first_session=START - timedelta(days=60)))
    assert risen.decision is not None
    assert (risen.decision.rule, risen.pace_sets) == ("repetitions_up", 12)
    some = replace(plan(), before=risen)
    sets = [state for state in timed(some) if isinstance(state.step, Work)]
    assert [state.pace for state in sets] == ["seconds", "ends", "ends"]
    held = replace(some, before=risen.model_copy(update={"decision": None}))
    assert next(state.pace for state in timed(held) if isinstance(state.step, Work)) == "ends"


def test_full_pace_is_back_where_the_own_tempo_was_off() -> None:
    for took_s, sets in ((12.0, 0), (RIGHT_S, 12)):
        some = plan(pace_sets=9, trial_ago=3)
        record, _ = rehearse(some, Answers(trial_s=took_s), START)
        assert advance(some.before, record, some.book).after.pace_sets == sets


@pytest.mark.parametrize(
    ("pace", "led"),
    [("seconds", [1, 2, 3, 4]), ("phases", [1, 2, 3, 4]), ("ends", [1, 4]), ("none", [])],
)
def test_only_repetitions_that_are_led_have_signals(pace: str, led: list[int]) -> None:
    time = SetTiming(3.0, 4, plan().prescription.dose.tempo)
    assert [number for number in (1, 2, 3, 4) if is_paced(pace, number, 4)] == led  # type: ignore[arg-type]
    signals = list(set_signals(time, pace))  # type: ignore[arg-type]
    out = [signal for signal in signals if signal.name in ("out", "last_repetition")]
    assert [round((signal.at_s - 3.0) / time.repetition_s) + 1 for signal in out] == led
    assert [signal.name for signal in signals[-1:]] == ["set_over"]


def test_after_a_pause_the_last_repetition_is_still_the_last() -> None:
    time = SetTiming(3.0, 2, plan().prescription.dose.tempo)
    assert [one.name for one in set_signals(time, "ends", done_before=2) if one.name.endswith("repetition")] == [
        "last_repetition"
    ]


def set_page(some: Plan, into_s: float) -> SetPage:
    state = next(state for state in rehearsed_states(first_state(some, START), Answers()) if state.remaining_set)
    page = page_at(state, setup_context(some, state.record), state.seen_s + state.count_in_s + into_s)
    assert isinstance(page, SetPage)
    return page


def test_the_page_of_a_set_leads_as_much_as_its_pace_says() -> None:
    seconds, phases, none = (set_page(plan(pace_sets=number), 1.0) for number in (0, 6, 18))
    assert (seconds.word, seconds.count, seconds.repetition) == ("out", "2", "1/8")
    assert (phases.word, phases.count, phases.repetition) == ("out", "", "1/8")
    assert (none.word, none.count, none.repetition, none.done) == ("yours", "", "8", 0)
    between = set_page(plan(pace_sets=12), 11.0)
    assert between.word == "yours"
    assert set_page(plan(pace_sets=12), 1.0).word == "out"
    assert none.scene == set_page(plan(pace_sets=18), 3.0).scene


def timed(some: Plan, took_s: float | None = None) -> list[State]:
    first = first_state(some, START)
    return [first, *rehearsed_states(first, Answers(trial_s=took_s))]


def test_the_own_tempo_is_timed_between_two_keys_and_compared() -> None:
    state = next(state for state in timed(plan(trial_ago=3)) if isinstance(state.step, Trial))
    assert "with nothing to lead you" in shown(state).lines[-1]
    running = go_on(state, Instant(state.seen_s + 20, START))
    assert shown(running).lead.startswith("3 repetitions, at your own tempo.")
    early = go_on(running, Instant(running.seen_s + 7, START))
    assert early.record.own_tempo is not None
    assert (early.record.own_tempo.took_s, early.record.own_tempo.right_s) == (7.0, RIGHT_S)
    assert shown(early).lead == "Yours 7 s, asked 28 s: too fast. Take your time, above all on the way back."
    assert go_on(early, Instant(early.seen_s + 1, START)).step.name == "set_1.work"
    for took_s, says in ((27.0, "that fits"), (36.0, "too slow")):
        assert says in shown(go_on(running, Instant(running.seen_s + took_s, START))).lead


def shown(state: State) -> TextPage:
    page = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert isinstance(page, TextPage)
    return page


def test_a_key_for_pain_and_a_computer_that_slept_start_the_timing_again() -> None:
    state = next(state for state in timed(plan(trial_ago=3)) if isinstance(state.step, Trial))
    running = go_on(state, Instant(state.seen_s, START))
    assert report_trouble(running, Instant(running.seen_s + 1, START)).watch.since_s is None
    assert tick(running, Instant(running.seen_s + 600, START)).watch.since_s is None
    assert back(running, Instant(running.seen_s + 1, START)).record.own_tempo is None


def test_timed_once_it_is_not_timed_again_after_an_interruption() -> None:
    some = plan(trial_ago=3)
    record = timed(some)[-1].record
    began = record.model_copy(update={"entry": tuple(one for one in record.entry if one.kind == "own_tempo")})
    left = remaining_script(script_of(some, began), began)
    assert not [step for step in left.steps if isinstance(step, Trial)]
    assert [step.name for step in left.steps if isinstance(step, Show)].count("reach") == 1


def test_it_is_timed_only_after_a_rushed_repetition_was_shown() -> None:
    faults = tuple(one.fault for one in shipped().questions.values() if one.wrong != "too_fast")
    assert not plan(trial_ago=9, taught={"external_rotation": faults}).trial_due
    assert plan(trial_ago=9).trial_due


@pytest.mark.parametrize(("took_s", "rule"), [(22.7, "repetitions_up"), (22.6, "timing_off"), (33.4, "timing_off")])
def test_the_own_tempo_vetoes_a_rise_and_never_causes_one(took_s: float, rule: str) -> None:
    """1.5 s of 8 s, as with live feedback: Riel H et al., Med Sci Sports Exerc 2018;50:28 (abstract)."""
    some = plan(trial_ago=3)
    _, ended = rehearse(some, Answers(trial_s=took_s), START)
    assert ended.decision.rule == rule
    _, unclean = rehearse(some, Answers(trial_s=RIGHT_S, answer={"set_1.elbow": "once"}), START)
    assert unclean.decision.rule == "unclean"


def test_once_off_the_tempo_is_shown_and_timed_in_every_session_until_it_fits() -> None:
    off = plan(trial=trial(12.0), trial_ago=1)
    assert off.trial_due
    assert [one.name for one in off.lessons] == ["tempo"]
    assert after(off).trial is not None
    fits = replace(off, before=after(off))
    assert not fits.trial_due
    assert fits.lessons == ()


@pytest.fixture(scope="module")
def found() -> dict[str, Life]:
    """Every virtual client over twenty-two sessions."""
    return lives(_SESSIONS)


def test_who_is_told_and_when(found: dict[str, Life], capsys: pytest.CaptureFixture[str]) -> None:
    """Nobody who rushes has a rise once the tempo was timed, until it fits; who keeps time is never told."""
    with capsys.disabled():
        print("\n" + "\n".join(f"{name}: {told(life)}" for name, life in found.items()))
    for name, life in found.items():
        assert bool(life.told_after) == ("rushes" in name), name
        assert (life.rises_while_off, life.faded_while_off) == (0, 0), name
        if name.startswith("rushes"):
            assert life.told_after[0] == 9, name
    assert len(found["rushes, 1.0 s"].told_after) == _SESSIONS - 3
    assert found["rushes, 1.8 s, and learns"].rises
    assert found["keeps time"].paces[:7] == (*["seconds"] * 2, *["phases"] * 2, *["ends"] * 2, "none")


def test_timing_that_slips_brings_the_full_pace_back_until_it_fits_again(found: dict[str, Life]) -> None:
    """Nothing is led any more when it slips; it is found at the next trial, and fades again for who learns."""
    for_ever, learned = found["keeps time, then rushes"], found["keeps time, then rushes, and learns"]
    kept = found["keeps time"]
    assert kept.paces[SLIPS_IN - 1] == "none"
    at = next(number for number, sets in enumerate(range(0, _SESSIONS * 3, 3)) if sets in for_ever.told_after)
    assert SLIPS_IN <= at < SLIPS_IN + 3 + 1, "at the next trial"
    assert set(for_ever.paces[at + 1 :]) == {"seconds"}
    assert set(learned.paces[at + 1 : at + 3]) == {"seconds"}
    assert {"phases", "ends"} <= set(learned.paces[at + 3 :])
    assert len(learned.told_after) < len(for_ever.told_after)

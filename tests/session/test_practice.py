"""The movement alone: led without the band, nothing recorded, nothing decided."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.model.answers_file import Answers
from coach.screens.client.key_bindings import binding_for
from coach.screens.client.page_types import SetPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.session.interruptions import report_trouble
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.runner import answer, choose, go_on, practise, tick
from coach.session.signals import signals_between
from coach.session.state import Instant, State
from coach.store.client_store import ClientStore
from coach.store.live_session import start_session
from coach.store.programme.opening import open_practice
from tests.clocks import START, FakeClock
from tests.plans import plan_of, shipped


def practice(plan: Plan | None = None) -> State:
    return first_state(replace(plan or plan_of("tern"), practice=True), START)


def moved(state: State, by_s: float) -> State:
    """Time passes in steps too small for a gap."""
    until_s = state.seen_s + by_s
    while state.seen_s < until_s:
        state = tick(state, Instant(min(state.seen_s + 1.0, until_s), START))
    return state


def shown(state: State) -> TextPage | SetPage:
    page = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert isinstance(page, TextPage | SetPage)
    return page


def test_a_key_leads_the_movement_for_a_set_and_comes_back_to_its_page() -> None:
    state = practise(practice(), Instant(0.0, START))
    page = shown(moved(state, 4.0))
    assert isinstance(page, SetPage)
    assert (page.title, page.word, page.repetition) == ("Practice: Without the band", "out", "1/8")
    assert "band_now" not in [stroke.role for stroke in page.scene.strokes]
    after = moved(state, 3.0 + 8 * 10.0)
    assert not after.practising
    assert after.record.entry == ()


def test_the_movement_has_the_signals_of_a_set() -> None:
    state = practise(practice(), Instant(0.0, START))
    names = []
    for _ in range(14):
        later = moved(state, 1.0)
        names += [signal.name for signal in signals_between(state, later)]
        state = later
    assert names[:6] == ["count", "count", "out", "hold", "back", "relax"]


def test_practice_ends_with_nothing_decided() -> None:
    ended = go_on(practice(), Instant(1.0, START))
    page = shown(ended)
    assert isinstance(page, TextPage)
    assert ended.over
    assert page.lead == "You practised the movement. It changes nothing in your programme."
    assert page.lines == ("This was practice: nothing of it is kept.",)


@pytest.mark.parametrize(
    ("told", "lead", "alert"),
    [
        (("numb_or_weak",), "do not train until they have looked", "Stop now."),
        (("ache", "neck", 9), "do not train until they have looked", "Call your therapist now."),
        (("ache", "neck", 6), "It hurt, so we stop here.", ""),
    ],
)
def test_pain_in_practice_stops_it_and_says_what_to_do(told: tuple[str | int, ...], lead: str, alert: str) -> None:
    state, now = report_trouble(practise(practice(), Instant(0.0, START)), Instant(2.0, START)), Instant(3.0, START)
    *before, last = told
    for value in before:
        state = answer(state, value, now)
    asked = shown(choose(state, last, now))
    assert isinstance(asked, TextPage)
    assert asked.lines[-1] == "If so, the session ends here for today.", "nothing of it is kept, so nothing is closed"
    page = shown(answer(state, last, now))
    assert isinstance(page, TextPage)
    assert lead in page.lead
    assert page.alert.startswith(alert)


def test_before_the_first_set_two_repetitions_are_led_without_the_band() -> None:
    states = [first_state(plan_of("tern"), START)]
    states += rehearsed_states(states[0], Answers())
    reach = next(state for state in states if state.step.name == "reach")
    binding = binding_for("w", reach)
    assert binding is not None
    led = binding.run(reach, Instant(reach.seen_s, START))
    page = shown(moved(led, 4.0))
    assert isinstance(page, SetPage)
    assert page.repetition == "1/2"
    assert moved(led, 3.0 + 20.0).record.entry == reach.record.entry
    assert go_on(led, Instant(led.seen_s, START)).step.name == "set_1.work"


def test_the_command_records_nothing(demo_profiles: Path) -> None:
    folder = demo_profiles / "tern"
    before = sorted(path.name for path in folder.rglob("*"))
    store = ClientStore.read(folder, shipped())
    live = start_session(open_practice(store), FakeClock())
    live.act(practise)
    live.act(go_on)
    assert live.state.over
    assert sorted(path.name for path in folder.rglob("*")) == before

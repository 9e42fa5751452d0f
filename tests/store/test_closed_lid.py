"""A computer that sleeps during a session: no set goes on, and old answers about pain and signs are asked again."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.model import step_names
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, choose, confirm, go_on, take_back
from coach.session.script import Teach, Trial, Work
from coach.session.state import Instant, State
from coach.store.client_store import ClientStore
from coach.store.clock import SessionClock
from coach.store.live_session import Key, LiveSession, open_session, start_session
from tests.clocks import START
from tests.plans import shipped


@dataclass
class LaptopClock:
    """A steady clock that stands still while the computer sleeps, and a time of day that does not."""

    s: float = 0.0
    at: datetime = field(default=START)

    def __call__(self) -> Instant:
        return Instant(self.s, self.at.replace(microsecond=0))

    def run(self, seconds: float) -> None:
        """Time passes while the computer is awake."""
        self.s, self.at = self.s + seconds, self.at + timedelta(seconds=seconds)

    def sleep(self, hours: float) -> None:
        """The lid is closed for so long."""
        self.at += timedelta(hours=hours)


def at_step(folder: Path, clock: LaptopClock, name: str) -> LiveSession:
    """A session of a client at the step of this name."""
    live = start_session(open_session(ClientStore.read(folder, shipped()), clock()), clock)
    for _ in range(40):
        if live.state.step.name == name:
            return live
        clock.run(5)
        question = live.state.question
        live.act(go_on if question is None else _answer(clean_answer(question)))
    raise AssertionError(name)


def _answer(value: int | str) -> Key:
    def key(state: State, now: Instant) -> State:
        return answer(state, value, now)

    return key


def test_a_set_does_not_go_on_in_the_middle_of_a_repetition(demo_profiles: Path) -> None:
    clock = LaptopClock()
    live = at_step(demo_profiles / "tern", clock, "set_1.work")
    for _ in range(15):
        clock.run(1)
        live.tick()
    clock.sleep(0.1)
    state = live.tick()
    assert state.paused
    assert isinstance(state.step, Work)


def test_after_eight_hours_in_a_set_pain_and_signs_are_asked_again(demo_profiles: Path) -> None:
    clock = LaptopClock()
    live = at_step(demo_profiles / "tern", clock, "set_1.work")
    clock.run(1)
    live.tick()
    clock.sleep(8)
    assert live.tick().step.name == step_names.PAIN_NOW
    assert live.asked_again


@pytest.mark.parametrize("name", [step_names.PLACE, step_names.ARM, "check.anchor", step_names.REACH])
def test_a_page_without_a_clock_does_not_go_on_with_old_answers(demo_profiles: Path, name: str) -> None:
    """58 hours later the key is no answer to the question that is asked again, and all the checks follow."""
    clock, folder = LaptopClock(), demo_profiles / "tern"
    names = [step.name for step in at_step(folder, clock, step_names.TODAY).state.script.steps]
    if name not in names:
        name = next(one for one in names if one.startswith("check."))
    live = at_step(folder, clock, name)
    answered = len(live.state.record.entry)
    clock.sleep(58)
    state = live.act(go_on)
    assert state.step.name == step_names.PAIN_NOW
    assert len(state.record.entry) == answered
    asked = [step.name for step in state.script.steps]
    assert asked[:3] == [step_names.PAIN_NOW, step_names.RELIEF, step_names.SIGN]
    assert {one for one in names if one.startswith("check.")} <= set(asked)
    clock.run(5)
    assert live.act(_answer(9)).over


@pytest.mark.parametrize("lid", ["closed", "open"])
@pytest.mark.parametrize("name", ["lesson", "trial"])
def test_a_page_that_moves_by_itself_for_ever_grows_old_too(demo_profiles: Path, name: str, lid: str) -> None:
    """A lesson is drawn again all the time, and a trial of one's own tempo is timed until a key ends it."""
    clock, folder = LaptopClock(), demo_profiles / "tern"
    steps = at_step(folder, clock, step_names.TODAY).state.script.steps
    lesson = next(step.name for step in steps if isinstance(step, Teach))
    live = at_step(folder, clock, lesson if name == "lesson" else step_names.REACH)
    if name == "trial":  # which a first session has not
        script = live.state.script
        timed = [Trial(one.name, 5, 50) if one.name == step_names.REACH else one for one in script.steps]
        live.state = live.state._replace(script=replace(script, steps=tuple(timed)))
        live.act(go_on)
    assert live.state.watch.since_s is not None
    if lid == "closed":
        clock.sleep(9)
    for _ in range(1000 if lid == "open" else 1):  # no gap in time, in which a trial would be left
        clock.run(2)
        live.tick()
    assert live.state.step.name == step_names.PAIN_NOW
    assert live.asked_again


def test_a_short_absence_asks_nothing_again(demo_profiles: Path) -> None:
    clock = LaptopClock()
    live = at_step(demo_profiles / "tern", clock, step_names.PLACE)
    clock.sleep(0.2)
    assert live.act(go_on).step.name == "check.band_sound"


@pytest.mark.parametrize(("key", "over"), [(confirm, True), (take_back, False)])
def test_a_sign_waits_for_its_confirmation_however_long(demo_profiles: Path, key: Key, over: bool) -> None:
    """The page with the advice stays, its keys work at once, and taken back the check-in is asked again."""
    clock = LaptopClock()
    live = at_step(demo_profiles / "tern", clock, step_names.SIGN)
    live.act(lambda state, now: choose(state, "chest_pain", now))
    clock.sleep(1)
    assert live.tick().chosen is not None
    state = live.act(key)
    assert state.over == over
    assert over or state.step.name == step_names.PAIN_NOW


def test_an_interrupted_session_that_goes_on_an_hour_later_begins_with_the_check_in(demo_profiles: Path) -> None:
    clock, folder = LaptopClock(), demo_profiles / "tern"
    at_step(folder, clock, step_names.REACH)
    clock.sleep(1)
    live = start_session(open_session(ClientStore.read(folder, shipped()), clock()), clock, resume=True)
    assert live.state.step.name == step_names.PAIN_NOW


def test_a_clock_set_back_leaves_the_entries_in_order() -> None:
    clock = LaptopClock()
    session = SessionClock(clock)
    first = session()
    clock.run(60)
    clock.sleep(-2)
    second = session()
    assert (second.s - first.s, second.at - first.at) == (60, timedelta(seconds=60))

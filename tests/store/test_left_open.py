"""A session that was left open for long ends where it is, if a new start would be refused or give another one."""

from functools import partial
from pathlib import Path

import pytest

from coach.model import step_names
from coach.model.programme.session_file import SessionFile
from coach.screens.client.live_page import farewell_of, live_page
from coach.screens.client.page_types import TextPage
from coach.screens.client.setup_context import SetupCache
from coach.screens.plain.plain_session import PlainSession
from coach.session.interruptions import report_trouble
from coach.session.next_exercise import next_exercise
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, choose, go_on, stop_set, take_back
from coach.session.script import Work
from coach.session.state import Instant, State
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.live_session import Key, LiveSession, Opening, open_session, start_session
from tests.journeys.walk import live as live_of
from tests.journeys.walk import session_app
from tests.plans import shipped
from tests.screens.capture import as_text, runs
from tests.screens.plain.output_lines import Typist
from tests.store.test_closed_lid import LaptopClock, at_step

DAYS = 24.0
MEASURES_AGAIN = "your therapist measures again"


def ended_page(live: LiveSession) -> TextPage:
    """The page that the client sees."""
    page = live_page(live, SetupCache())
    assert isinstance(page, TextPage)
    return page


@pytest.mark.parametrize("with_key", [False, True], ids=["by itself", "with a key"])
def test_after_eight_weeks_it_does_not_go_on_at_full_load(demo_profiles: Path, with_key: bool) -> None:
    """It once asked the check-in again and went on, where a new start was refused."""
    clock, folder = LaptopClock(), demo_profiles / "heron"
    live = at_step(folder, clock, step_names.PLACE)
    answered = live.state.record.entry
    clock.sleep(60 * DAYS)
    state = live.act(go_on) if with_key else live.tick()
    assert state.record.ended is not None
    assert state.record.ended.how == "left"
    assert state.record.entry[:-1] == answered  # nothing of it is lost, and the key answered nothing
    assert read_client_folder(folder).records[-1].entry == state.record.entry
    store = ClientStore.read(folder, shipped())
    refused = store.admission(clock().at)
    assert not refused.may_start
    page = ended_page(live)
    assert page.lead.startswith("This session was left open since 2026-11-24 18:")
    assert refused.sentence in page.lines
    assert "Next session" not in " ".join(page.lines)
    opening = Opening(store, live.state.plan, None)
    assert refused.sentence in farewell_of(live, opening)
    assert "Come back when it suits you" not in farewell_of(live, opening)


def test_after_three_weeks_a_new_one_begins_with_the_load_of_that_day(demo_profiles: Path) -> None:
    clock, folder = LaptopClock(), demo_profiles / "heron"
    live = at_step(folder, clock, step_names.PLACE)
    clock.sleep(21 * DAYS)
    assert live.tick().over
    assert live.ended_why == ""
    assert shipped().messages.client.offer.left_open_again in ended_page(live).lines
    assert ClientStore.read(folder, shipped()).admission(clock().at).may_start


@pytest.mark.parametrize("hours", [1.0, 3.0, 9.0])
def test_hours_later_it_goes_on_with_the_check_in(demo_profiles: Path, hours: float) -> None:
    clock = LaptopClock()
    live = at_step(demo_profiles / "heron", clock, step_names.PLACE)
    clock.sleep(hours)
    state = live.tick()
    assert not state.over
    assert live.asked_again
    assert live.ended_why is None


def test_what_was_signed_meanwhile_makes_it_another_one(demo_profiles: Path) -> None:
    """The load was frozen, or lowered, or the review began: the plan that is open does not know of it."""
    clock, folder = LaptopClock(), demo_profiles / "heron"
    live = at_step(folder, clock, step_names.PLACE)
    clock.sleep(3)
    sign = (
        f'\n[[sign_offs]]\nat = {clock().at.isoformat()}\ninitials = "KB"\nwhat = "freeze_load"\nreason = "a cold"\n'
    )
    with (folder / "prescription.toml").open("a", encoding="utf-8") as file:
        file.write(sign + f"until = {clock().at.date().replace(year=2027)}\n")
    assert live.tick().over
    assert live.ended_why == ""


def test_a_file_that_cannot_be_read_any_more_ends_it_too(demo_profiles: Path) -> None:
    clock, folder = LaptopClock(), demo_profiles / "heron"
    live = at_step(folder, clock, step_names.PLACE)
    clock.sleep(3)
    (folder / "profile.toml").write_text("[[[", encoding="utf-8")
    assert live.tick().over
    assert "profile.toml" in (live.ended_why or "")
    assert "profile.toml" in " ".join(ended_page(live).lines)


def test_a_sign_that_waits_for_its_confirmation_is_not_taken_away(demo_profiles: Path) -> None:
    """Taken back, what a new start would check is checked."""
    clock, folder = LaptopClock(), demo_profiles / "heron"
    live = at_step(folder, clock, step_names.SIGN)
    live.act(lambda state, now: choose(state, "chest_pain", now))
    clock.sleep(60 * DAYS)
    assert live.tick().chosen is not None
    assert not live.state.over
    assert live.act(take_back).over
    ended = live.state.record.ended
    assert ended is not None
    assert ended.how == "left"
    assert live.ended_why


async def test_the_screen_says_it_without_a_key(demo_profiles: Path) -> None:
    clock = LaptopClock()
    app = session_app(demo_profiles / "heron", clock)  # type: ignore[arg-type]
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        clock.sleep(60 * DAYS)
        await app._frame()
        await pilot.pause()
        assert "left open since" in as_text(runs(app))
        assert "Next session" not in as_text(runs(app))
        assert live_of(app).state.over


def test_the_lines_say_it_too(demo_profiles: Path) -> None:
    clock, out = LaptopClock(), list[str]()

    class Sleeper(Typist):
        """Types one line, and closes the lid for two months before the next."""

        def line(self, within_s: float | None) -> str | None:
            """As `Typist`."""
            if len(self.lines) == 1:
                clock.sleep(60 * DAYS)
            return super().line(within_s)

    client = ClientStore.read(demo_profiles / "heron", shipped())
    typist = Sleeper(clock, ["", "", ""])  # type: ignore[arg-type]
    PlainSession(shipped(), open_session(client, clock()), clock, typist, out.append).run()
    assert any(line.startswith("This session was left open since") for line in out)


def between_two(folder: Path, clock: LaptopClock) -> LiveSession:
    """A session of several exercises after the first of them."""
    live = start_session(open_session(ClientStore.read(folder, shipped()), clock()), clock)
    for _ in range(400):
        state = live.state
        if state.another_follows:
            return live
        clock.run(2)
        live.act(_next_key(state))
    raise AssertionError("no other exercise followed")


def _next_key(state: State) -> Key:
    question = state.question
    if question is not None:
        return partial(_clean, clean_answer(question))
    return stop_set if isinstance(state.step, Work) else go_on


def _clean(value: int | str, state: State, now: Instant) -> State:
    return answer(state, value, now)


def test_between_two_exercises_the_others_are_not_begun(demo_profiles: Path) -> None:
    clock, folder = LaptopClock(), demo_profiles / "curlew"
    live = between_two(folder, clock)
    clock.sleep(60 * DAYS)
    state = live.act(next_exercise)
    assert state.over
    assert not state.another_follows
    assert live.ended_why
    newest = read_client_folder(folder).newest_session
    assert newest is not None
    assert isinstance(newest.session, SessionFile)
    assert not newest.session.is_open


def test_between_two_exercises_the_check_in_is_asked_again_after_half_an_hour(demo_profiles: Path) -> None:
    clock = LaptopClock()
    live = between_two(demo_profiles / "curlew", clock)
    clock.sleep(1)
    state = live.act(next_exercise)
    assert state.step.name == step_names.PAIN_NOW
    assert live.asked_again


def test_after_a_pain_left_open_the_page_says_the_stop_and_invites_to_no_session(demo_profiles: Path) -> None:
    clock, folder = LaptopClock(), demo_profiles / "tern"
    live = at_step(folder, clock, step_names.PLACE)
    live.act(report_trouble)
    live.act(lambda state, now: answer(state, "sharp", now))
    clock.sleep(21 * DAYS)
    assert live.tick().over
    page, offer = ended_page(live), shipped().messages.client.offer
    assert page.lead.startswith("This session was left open since")
    assert "counts as pain over your limit" in page.lines[0]
    assert offer.left_open_again not in page.lines
    assert "counts as pain over your limit" in farewell_of(
        live, Opening(ClientStore.read(folder, shipped()), live.state.plan, None)
    )

"""Whole sessions as a person drives them, from the first screen to the decision on the disk."""

import shutil
from pathlib import Path

import pytest
from textual.widgets import Static

from coach.content_files.content_folder import content_folder, load_content
from coach.reports.text.preview import preview_text
from coach.session.plan import plan_session
from coach.session.script import Rest, Work
from coach.session.state import State
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from tests.clocks import START, FakeClock
from tests.journeys.walk import Given, live, session_app, walk

TOO_HEAVY: Given = {
    **{f"set_{number}.range": "no" for number in (1, 2)},
    **{f"set_{number}.range_often": "yes" for number in (1, 2)},
    **{f"set_{number}.blade": "yes" for number in (1, 2)},
    **{f"set_{number}.blade_often": "yes" for number in (1, 2)},
}


async def _done(folder: Path, given: Given) -> tuple[str, str]:
    """Go through a session; the rule it ended with, and the next preview."""
    clock = FakeClock()
    app = session_app(folder, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, given)
        ended = live(app).state.record.ended
        assert ended is not None
        await pilot.press("enter")
    assert app.farewell == ended.decision.reason
    content = load_content(content_folder(), "en")
    client = ClientStore.read(folder, content)
    saved = client.folder.saved
    assert saved is not None
    assert saved.decision == ended.decision
    assert client.agreement == "agrees"
    plan = plan_session(client.profile, client.prescription, content, saved)
    return ended.decision.rule, preview_text(plan, START)


async def test_three_ways_to_answer_give_three_next_sessions(demo_profiles: Path) -> None:
    """Clean; blade pulled back and end range lost in two sets; pain 6: the next preview differs for each."""
    outcomes = {}
    for name, given in {"clean": {}, "too_heavy": TOO_HEAVY, "pain": {"set_2.pain": 6}}.items():
        folder = demo_profiles / name
        shutil.copytree(demo_profiles / "tern", folder)
        outcomes[name] = await _done(folder, given)
    assert [rule for rule, _ in outcomes.values()] == ["not_all_asked", "band_too_heavy", "pain_over_limit"]
    assert len({preview.split("0:00")[0].split("Last decision")[0] for _, preview in outcomes.values()}) == 3


async def test_interrupted_in_set_2_goes_on_at_set_2(demo_profiles: Path) -> None:
    """Every answer before the cut is kept, none is asked twice but the safety checks, and set 1 is not redone."""
    folder, clock = demo_profiles / "tern", FakeClock()
    app = session_app(folder, clock)

    def in_set_2(state: State) -> bool:
        return isinstance(state.step, Work) and state.step.number == 2

    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {"set_1.elbow": "yes"}, until=in_set_2)
        before = live(app).state.record
        app.exit()
    again = session_app(folder, clock)
    async with again.run_test(size=(80, 24)) as pilot:
        assert "interrupted" in str(again.query_one("#body").query(".lead").first(Static).content)
        await pilot.press("y")
        names = [step.name for step in live(again).state.script.steps]
        assert "set_1.work" not in names
        assert "check_in.pain_now" not in names
        assert live(again).state.step.name == "setup.place"
        assert "check.band_sound" in names
        await walk(pilot, again, clock, {})
        record = live(again).state.record
    assert record.entry[: len(before.entry)] == before.entry
    assert [done.number for done in record.sets_done] == [1, 2, 3]
    assert record.ended is not None
    assert record.ended.decision.rule == "unclean"


@pytest.mark.parametrize("answer", ["n", "y"])
async def test_a_session_of_yesterday_is_closed_and_a_new_one_begun(demo_profiles: Path, answer: str) -> None:
    """Too old to go on with: closed as far as it went, with its decision; nobody is asked."""
    folder, clock = demo_profiles / "tern", FakeClock()
    app = session_app(folder, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, until=lambda state: len(state.record.sets_done) == 1)
        app.exit()
    clock.advance(26 * 3600)
    again = session_app(folder, clock)
    async with again.run_test(size=(80, 24)) as pilot:
        shown = " ".join(str(one.content) for one in again.query_one("#body").query(Static))
        told = "Your session of Tuesday, November 24, 18:05 was interrupted: 1 set is kept"
        assert told in " ".join(shown.split())
        await pilot.press(answer)
        assert live(again).state.record.sets_done == ()
    client = read_client_folder(folder)
    assert [record.ended is None for record in client.records] == [False, True]
    first = client.records[0].ended
    assert first is not None
    assert (first.how, first.decision.rule) == ("left", "unclean")


async def test_a_warning_sign_ends_the_session_at_once_with_what_to_do(demo_profiles: Path) -> None:
    """Named at the check-in: stopped, in review, and the next start begins nothing."""
    folder, clock = demo_profiles / "tern", FakeClock()
    app = session_app(folder, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {"sign": "chest_pain"})
        shown = " ".join(str(one.content) for one in app.query_one("#body").query(Static))
        assert "emergency number" in shown
        assert "emergency number" in app.farewell
    client = read_client_folder(folder)
    assert client.saved is not None
    assert client.saved.status == "review"


async def test_the_pain_key_in_a_set_asks_and_five_goes_on_and_six_stops(demo_profiles: Path) -> None:
    """At the limit the set goes on where it was; above it the session is over (C6)."""
    folder, clock = demo_profiles / "tern", FakeClock()
    app = session_app(folder, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, until=lambda state: isinstance(state.step, Work))
        await pilot.press("p", "1", "2", "5")
        assert live(app).state.paused
        await pilot.press("enter")
        assert isinstance(live(app).state.step, Work)
        assert not live(app).state.paused
        await pilot.press("p", "1", "2", "6", "y")
        ended = live(app).state.record.ended
        assert ended is not None
        assert (ended.how, ended.decision.rule) == ("stopped", "pain_over_limit")


async def test_too_heavy_with_nothing_lighter_is_said_in_the_rest(demo_profiles: Path) -> None:
    """At the lowest step no new setup is shown, so the rest says why the session stays where it is."""
    folder, clock = demo_profiles / "heron", FakeClock()
    app = session_app(folder, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        given: Given = {"set_1.blade": "yes", "set_1.blade_often": "yes", "morning_after": 0}
        await walk(pilot, app, clock, given, until=lambda state: isinstance(state.step, Rest))
        await pilot.pause()
        shown = " ".join(str(one.content) for one in app.query_one("#body").query(Static))
        assert "too heavy for now" in shown
        assert live(app).state.record.current_rungs == live(app).state.record.rungs

"""A rehearsal on the Textual screens: answers from a file, any speed, marked on every screen, nothing on the disk."""

from pathlib import Path

import pytest
from textual.widgets import Static

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.screens.client.answer_player import AnswerPlayer
from coach.screens.client.session_app import SessionApp
from coach.session.rehearsal import rehearse
from coach.session.script import Work
from coach.store.client_store import ClientStore
from coach.store.clock import at_speed
from coach.store.programme.opening import open_rehearsal
from tests.clocks import START, FakeClock
from tests.journeys.walk import live
from tests.screens.plain.output_lines import without_times

ANSWERS = Answers(
    answer={
        "set_1.trouble": "sharp",
        "set_1.trouble_where": "upper_arm",
        "set_1.trouble_pain": 2,
        "set_1.blade": "yes",
        "set_1.blade_often": "yes",
        "set_2.skip": "too_tired",
        "today.sets": 2,
    },
    repetitions={"1": 3},
)


def files(folder: Path) -> dict[str, bytes]:
    """Everything in a folder."""
    return {str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def rehearsal(folder: Path, clock: FakeClock, speed: float, answer_player: AnswerPlayer | None) -> SessionApp:
    """The rehearsal of a client as the command starts it."""
    content = load_content(content_folder(), "en")
    opening = open_rehearsal(ClientStore.read(folder, content), speed)
    return SessionApp(content, opening, at_speed(clock, speed), answer_player=answer_player)


def title(app: SessionApp) -> str:
    """The title line."""
    return str(app.query_one("#title", Static).content)


@pytest.mark.parametrize("speed", [1.0, 40.0])
async def test_answers_from_a_file_lead_to_the_end_as_without_screens(demo_profiles: Path, speed: float) -> None:
    """Only the clock is moved; the record is the one that a rehearsal without screens makes."""
    folder, clock = demo_profiles / "tern", FakeClock()
    before, answer_player = files(demo_profiles), AnswerPlayer(ANSWERS)
    app = rehearsal(folder, clock, speed, answer_player)
    titles = set()
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(4000):
            state = live(app).state
            if state.over:
                break
            clock.advance((0.5 if isinstance(state.step, Work) else 1.0) / speed)
            if answer_player.wait_s(live(app)) == 0:
                await app._play_answer(answer_player)
                titles.add(title(app))
            else:
                live(app).tick()
        await app._draw()
        await pilot.pause()
        titles.add(title(app))
        record = live(app).state.record
        plan = live(app).state.plan
    expected, ended = rehearse(plan, ANSWERS, START)
    assert [one["kind"] for one in without_times(record)] == [one["kind"] for one in without_times(expected)]
    assert record.answers == expected.answers
    assert [one.repetitions for one in record.sets_done] == [3]
    assert record.ended is not None
    assert record.ended.decision == ended.decision
    assert app.farewell == ended.decision.reason
    assert all(one.startswith("Rehearsal: ") for one in titles)
    assert len(titles) > 5
    assert files(demo_profiles) == before


async def test_a_pause_by_hand_stays_one_also_after_the_pain_key(demo_profiles: Path) -> None:
    clock, answer_player = FakeClock(), AnswerPlayer(ANSWERS)
    app = rehearsal(demo_profiles / "tern", clock, 1.0, answer_player)
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(4000):
            state = live(app).state
            if state.record.answer("set_1.trouble_pain") is not None and not state.paused and state.question is None:
                break
            clock.advance(0.5 if isinstance(state.step, Work) else 1.0)
            await app._play_answer(answer_player)
            live(app).tick()
        await app._play_answer(answer_player)
        await pilot.press("space")
        for _ in range(100):
            clock.advance(1.0)
            await app._play_answer(answer_player)
        assert live(app).state.paused


async def test_by_hand_the_leave_question_promises_nothing(demo_profiles: Path) -> None:
    """The question says that nothing is kept, and so does the farewell."""
    app = rehearsal(demo_profiles / "tern", FakeClock(), 1.0, None)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "q")
        assert title(app).startswith("Rehearsal: ")
        assert "nothing of it is kept" in str(app.query_one("#body").query(".lead").first(Static).content)
    assert app.farewell == "This was a rehearsal: nothing of it is kept."


def test_the_clock_runs_at_the_speed_from_its_start_and_the_time_of_day_with_it() -> None:
    clock = FakeClock(s=100.0)
    fast = at_speed(clock, 30)
    begun = fast()
    clock.advance(2)
    assert fast().s - begun.s == pytest.approx(60)
    assert (fast().at - begun.at).total_seconds() == 60


async def test_at_a_high_speed_a_frame_is_no_gap_and_at_one_it_is(demo_profiles: Path) -> None:
    """A tenth of a real second is four seconds at speed 40; four real seconds at speed 1 are a gap."""
    for speed, real_s, paused in ((40.0, 0.1, False), (1.0, 4.0, True)):
        clock = FakeClock()
        app = rehearsal(demo_profiles / "tern", clock, speed, None)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("enter", "enter", "0", "1", "n", "enter", "y", "y", "y", "enter", "y", *["enter"] * 3)
            assert isinstance(live(app).state.step, Work)
            clock.advance(real_s)
            live(app).tick()
            assert live(app).state.paused is paused
            await pilot.pause()

"""Keys that forgive: too early, held, capital, unknown, two digits, the letter of the language, the mouse."""

import shutil
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from coach.model.record import Answered
from coach.screens.client.key_guard import HELD_AFTER_S, REPEAT_S, SETTLE_S, KeyGuard, Verdict
from coach.screens.client.session_app import SessionApp
from coach.session.script import Work
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import FakeClock
from tests.journeys.walk import live, walk

SIZE = (80, 24)


@dataclass
class Seconds:
    """A monotonic clock that a test moves."""

    now: float = 100.0

    def __call__(self) -> float:
        return self.now


def app_of(folder: Path, clock: FakeClock, seconds: Seconds | None = None, language: str = "en") -> SessionApp:
    """A session, guarded against early keys if it has a clock for them."""
    if language != "en":
        profile = folder / "profile.toml"
        text = profile.read_text()
        assert 'language = "en"' in text
        profile.write_text(text.replace('language = "en"', f'language = "{language}"'))
    client = ClientStore.read(folder)
    guard = KeyGuard(seconds) if seconds is not None else None
    return SessionApp(client.content, open_session(client, clock()), clock, guard=guard)


async def read_first(pilot: Pilot[None], seconds: Seconds) -> None:
    """The page is painted, and read for so long that the same key cannot be the repeat of a held one."""
    await pilot.pause()
    seconds.now += HELD_AFTER_S


def said(app: SessionApp) -> list[int | str]:
    """The answers in the record, in order."""
    return [entry.value for entry in live(app).state.record.entry if isinstance(entry, Answered)]


def foot(app: SessionApp) -> str:
    """The lines at the foot of the page."""
    return str(app.query_one("#keys", Static).content)


async def test_a_held_key_answers_one_question(demo_profiles: Path) -> None:
    """y held for two seconds answered all four checks."""
    clock, seconds = FakeClock(), Seconds()
    app = app_of(demo_profiles / "tern", clock, seconds)
    async with app.run_test(size=SIZE) as pilot:
        for key in ("enter", "enter", "0", "1", "n", "enter"):
            await read_first(pilot, seconds)
            await pilot.press(key)
        assert live(app).state.step.name == "check.band_sound"
        await read_first(pilot, seconds)
        await pilot.press("y")
        await pilot.pause()
        seconds.now += 0.6  # the delay before a held key repeats
        for _ in range(50):
            await pilot.press("y")
            seconds.now += 0.03
        assert said(app) == [0, "none", "none", "yes"]
        assert "too soon" in foot(app)
        await read_first(pilot, seconds)
        await pilot.press("y")
        assert said(app) == [0, "none", "none", "yes", "yes"]


def judged(gaps_s: list[float], key: str = "enter") -> list[Verdict]:
    """What becomes of presses of one key so many seconds apart, on pages that are shown when a press was meant."""
    seconds, verdicts = Seconds(), list[Verdict]()
    guard = KeyGuard(seconds)
    guard.page_shown()
    for number, gap_s in enumerate(gaps_s):
        seconds.now += gap_s
        verdict, moment = guard.judge(key), guard.moment
        after_s = gaps_s[number + 1] if number + 1 < len(gaps_s) else HELD_AFTER_S
        if verdict == "perhaps_held" and after_s >= REPEAT_S:
            verdict = guard.judge(key, pressed=moment)
        verdicts.append(verdict)
        if verdict == "meant":
            guard.page_changed()
            guard.page_shown()
    return verdicts


@pytest.mark.parametrize("every_s", [0.55, 0.7, 0.9, 1.2, 3.0])
def test_each_deliberate_tap_counts(every_s: float) -> None:
    """A tired person taps Enter about every second: none of them is a held key."""
    assert judged([every_s] * 6) == ["meant"] * 6


@pytest.mark.parametrize("delay_s", [0.25, 0.5, 0.66, 1.0, 1.8])
@pytest.mark.parametrize("every_s", [0.02, 0.033, 0.05, 0.1])
def test_a_held_key_counts_once_whatever_its_delay(delay_s: float, every_s: float) -> None:
    """Delay and rate as common keyboard settings have them; the first repeat comes after the page has settled."""
    verdicts = judged([3.0, delay_s, *[every_s] * 40])
    assert (verdicts[0], verdicts.count("meant")) == ("meant", 1)


@pytest.mark.parametrize("every_s", [0.25, 0.4, 0.45])
def test_a_key_that_repeats_slowly_answers_no_page_after_page(every_s: float) -> None:
    """The slowest settings: the first repeat may pass for a tap, those that follow it do not."""
    assert judged([3.0, 0.66, *[every_s] * 40]).count("meant") <= 2


async def test_a_tap_that_might_be_a_repeat_counts_when_none_follows(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock, seconds = FakeClock(), Seconds()
    app = app_of(demo_profiles / "tern", clock, seconds)
    timers: list[Callable[[], Awaitable[None]]] = []

    def later(_: float, callback: Callable[[], Awaitable[None]]) -> None:
        timers.append(callback)

    async with app.run_test(size=SIZE) as pilot:
        monkeypatch.setattr(app, "set_timer", later)
        await read_first(pilot, seconds)
        await pilot.press("enter")
        await pilot.pause()
        seconds.now += 0.7
        await pilot.press("enter")
        assert live(app).state.step.name == "cautions"
        await timers.pop()()
        assert live(app).state.step.name == "check_in.pain_now"


async def test_a_key_older_than_the_page_is_no_answer(demo_profiles: Path) -> None:
    """A doubled digit at the pain question once answered the signs with chest pain."""
    clock, seconds = FakeClock(), Seconds()
    app = app_of(demo_profiles / "tern", clock, seconds)
    async with app.run_test(size=SIZE) as pilot:
        for key in ("enter", "enter", "2"):
            await read_first(pilot, seconds)
            await pilot.press(key)
        await pilot.pause()
        seconds.now += SETTLE_S - 0.01
        await pilot.press("3")
        assert (said(app), live(app).state.chosen) == ([2], None)


async def test_the_pain_key_and_the_pause_never_wait(demo_profiles: Path) -> None:
    clock, seconds = FakeClock(), Seconds()
    app = app_of(demo_profiles / "tern", clock, seconds)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("p")
        assert live(app).state.asking is not None


async def test_one_and_zero_are_ten(demo_profiles: Path) -> None:
    app = app_of(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter", "enter", "1")
        assert said(app) == []
        assert "1, or 10?" in foot(app)
        await pilot.press("0")
        chosen = live(app).state.chosen
        assert chosen is not None
        assert chosen.value == 10
        await pilot.press("n", "1", "enter")
        assert said(app) == [1]


async def test_a_doubled_one_is_one_and_waits(demo_profiles: Path) -> None:
    app = app_of(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter", "enter", "1", "1", "1")
        assert live(app).state.step.name == "check_in.pain_now"
        assert said(app) == []
        await pilot.press("enter")
        assert (said(app), live(app).state.step.name) == ([1], "check_in.relief")


async def test_the_arrows_move_along_the_scale(demo_profiles: Path) -> None:
    app = app_of(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter", "enter", "right", "right", "right", "right", "left")
        choices = str(app.query_one(".choices", Static).content)
        assert ">2" in choices
        await pilot.press("enter")
        assert said(app) == [2]


async def test_capital_letters_count(demo_profiles: Path) -> None:
    app = app_of(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter", "enter", "0", "1", "N", "enter", "Y")
        assert said(app) == [0, "none", "none", "yes"]
        await pilot.press("P")
        assert live(app).state.asking is not None


@pytest.mark.parametrize(("key", "answers"), [("j", ["yes"]), ("J", ["yes"]), ("y", ["yes"]), ("n", ["no"])])
async def test_yes_has_the_letter_of_the_language(demo_profiles: Path, key: str, answers: list[str]) -> None:
    app = app_of(demo_profiles / "tern", FakeClock(), language="de")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter", "enter", "0", "1", "n", "enter")
        assert "j  ja" in str(app.query_one(".choices", Static).content)
        await pilot.press("y")
        await pilot.press(key)
        assert said(app)[4:] == answers


async def test_an_unknown_key_names_those_that_work(demo_profiles: Path) -> None:
    app = app_of(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("w")
        assert foot(app).startswith("w does nothing here. Keys: enter, p, ")
        await pilot.press("enter", "enter", "0", "1")
        assert "does nothing" not in foot(app)


async def test_the_question_mark_shows_every_key_and_pauses_a_set(demo_profiles: Path) -> None:
    clock = FakeClock()
    app = app_of(demo_profiles / "tern", clock)
    async with app.run_test(size=SIZE) as pilot:
        await walk(pilot, app, clock, {}, until=lambda state: isinstance(state.step, Work))
        await pilot.press("question_mark")
        shown = " ".join(str(one.content) for one in app.query("#body Static").results(Static))
        assert "The keys" in str(app.query_one("#title", Static).content)
        assert "pain or trouble" in shown
        assert live(app).state.paused
        await pilot.press("z")
        assert app._open_prompt is None


async def _keys_shown(pilot: Pilot[None], app: SessionApp) -> str:
    """What the page of all keys says, opened with ? and closed with any key."""
    before = str(app.query_one("#title", Static).content)
    await pilot.press("question_mark")
    assert "does nothing" not in foot(app)
    assert "The keys" in str(app.query_one("#title", Static).content)
    shown = " ".join(str(one.content) for one in app.query("#body Static").results(Static))
    await pilot.press("z")
    assert str(app.query_one("#title", Static).content) == before
    return shown


async def test_the_question_mark_shows_every_key_between_two_exercises(demo_profiles: Path) -> None:
    clock = FakeClock()
    app = app_of(demo_profiles / "curlew", clock)
    async with app.run_test(size=SIZE) as pilot:
        await walk(pilot, app, clock, {}, until=lambda state: state.another_follows)
        record = live(app).state.record
        shown = await _keys_shown(pilot, app)
        assert "next exercise" in shown
        assert "finish today" in shown
        assert live(app).state.record == record
        assert live(app).state.another_follows


async def test_the_question_mark_shows_every_key_of_the_last_page(demo_profiles: Path) -> None:
    app = app_of(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("q", "y")
        assert live(app).state.over
        shown = await _keys_shown(pilot, app)
        assert "the reason why" in shown
        assert "close" in shown


async def test_what_is_shown_can_be_clicked(demo_profiles: Path) -> None:
    """A number of the scale, an answer in words, and a key at the foot."""
    app = app_of(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter", "enter")
        choices = app.query_one(".choices", Static)
        at = str(choices.content).index("3")
        await pilot.click(".choices", offset=(at, 0))
        assert said(app) == [3]
        await pilot.press("1")
        lines = str(app.query_one(".choices", Static).content).split("\n")
        row = next(number for number, line in enumerate(lines) if "none of these" in line)
        await pilot.click(".choices", offset=(6, row))
        assert said(app) == [3, "none", "none"]
        await pilot.click("#keys", offset=(4, 0))
        assert live(app).state.step.name == "check.band_sound"


async def test_repetitions_lost_are_said_on_leaving_and_on_going_on(demo_profiles: Path, tmp_path: Path) -> None:
    folder, clock = Path(shutil.copytree(demo_profiles / "tern", tmp_path / "tern")), FakeClock()
    app = app_of(folder, clock)
    async with app.run_test(size=SIZE) as pilot:
        await walk(pilot, app, clock, {}, until=lambda state: isinstance(state.step, Work))
        for _ in range(32):
            clock.advance(1.0)
            live(app).tick()
        app.action_keep_and_close()
    assert app.farewell.endswith("Set 1 was not finished: its 1 repetition is not kept, and the set starts again.")
    again = app_of(folder, clock)
    async with again.run_test(size=SIZE):
        shown = " ".join(str(one.content) for one in again.query("#body Static").results(Static))
        assert "its repetitions are not kept" in shown


async def test_where_nothing_can_be_saved_a_sign_still_shows_what_to_do(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = app_of(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter", "enter", "0", "1")

        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr("coach.store.records.record_file.RecordAppender.append", full)
        await pilot.press("1")
        shown = " ".join(str(one.content) for one in app.query("#body Static").results(Static))
        assert "Call your local emergency number now" in shown
        assert "This is not saved" in shown
        monkeypatch.undo()
        await pilot.press("y")
        assert live(app).state.over
        assert live(app).unsaved == ""

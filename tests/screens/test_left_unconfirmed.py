"""What would stop a session and is left unconfirmed counts, and its advice stays wherever the client goes."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from coach.model.record import Answered
from coach.screens.plain.plain_session import PlainSession
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.live_session import NotAdmitted, open_session
from tests.clocks import FakeClock
from tests.journeys.walk import live, session_app
from tests.plans import shipped
from tests.screens.capture import as_text, runs
from tests.screens.plain.output_lines import Typist

CALL = "local emergency number now"
CHEST_PAIN = ("p", "4")


def in_lines(folder: Path, *lines: str, clock: FakeClock | None = None) -> list[str]:
    """What a plain session with these lines writes, from its first page on."""
    clock, out = clock or FakeClock(), list[str]()
    opening = open_session(ClientStore.read(folder, shipped()), clock())
    PlainSession(shipped(), opening, clock, Typist(clock, lines, {}), out.append).run()
    return out


def after(out: Sequence[str], title: str) -> str:
    """What stands on the last page of this title, and below."""
    return "\n".join(out[len(out) - 1 - out[::-1].index(title) :])


def status(folder: Path) -> str:
    """Where the client stands, as the clinic reads it."""
    return ClientStore.read(folder, shipped()).progress.status


def test_leaving_at_the_confirmation_of_a_warning_sign_stops_with_the_advice(demo_profiles: Path) -> None:
    """It once said "Ended early. Come back when it suits you.", and the clinic saw nothing."""
    tern = demo_profiles / "tern"
    out = in_lines(tern, *CHEST_PAIN, "q", "y", "")
    assert CALL in after(out, "End the session here?").split("Keys, ")[0]
    assert "If you end here, it counts." in after(out, "End the session here?")
    assert CALL in after(out, "We stop here today")
    record = read_client_folder(tern).records[-1]
    assert record.ended is not None
    assert (record.ended.how, record.ended.decision.rule) == ("stopped", "warning_sign")
    assert status(tern) == "review"


@pytest.mark.parametrize("keys", [("p", "1", "1", "9"), ("", "", "7")], ids=["severe", "at the start"])
def test_so_does_leaving_at_that_of_pain(demo_profiles: Path, keys: tuple[str, ...]) -> None:
    tern = demo_profiles / "tern"
    out = in_lines(tern, *keys, "q", "y", "")
    ended = read_client_folder(tern).records[-1].ended
    assert ended is not None
    assert (ended.how, ended.decision.move) == ("stopped", "stop")
    assert ended.decision.reason.split(".")[0] in "\n".join(out)


@pytest.mark.parametrize(
    ("taken_back", "how", "rule", "stands"),
    [(("n", "b"), "left", "pain_not_said", "active"), (("n",), "stopped", "pain_left_open", "paused")],
    ids=["with the report", "the sign alone"],
)
def test_a_slip_that_is_taken_back_before_leaving_does_not_count(
    demo_profiles: Path, taken_back: tuple[str, ...], how: str, rule: str, stands: str
) -> None:
    """The sign does not; the pain key does until it is taken back as well, as the question whether to leave says."""
    tern = demo_profiles / "tern"
    out = in_lines(tern, *CHEST_PAIN, *taken_back, "q", "y", "")
    ended = read_client_folder(tern).records[-1].ended
    assert ended is not None
    assert (ended.how, ended.decision.rule) == (how, rule)
    assert ("You reported pain or trouble." in after(out, "End the session here?")) == (how == "stopped")
    assert CALL not in after(out, "End the session here?")
    assert status(tern) == stands


async def test_on_screens_the_advice_stays_on_the_question_and_on_the_last_page(demo_profiles: Path) -> None:
    app = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*CHEST_PAIN, "q")
        await pilot.pause()
        assert "Call your local emergency number now" in as_text(runs(app))
        assert "End the session here?" in as_text(runs(app))
        await pilot.press("y")
        await pilot.pause()
        assert "Call your local emergency number now" in as_text(runs(app))
        assert "Come back when it suits you" not in as_text(runs(app))


def test_an_input_that_ends_at_the_confirmation_ends_with_the_advice(demo_profiles: Path) -> None:
    tern = demo_profiles / "tern"
    assert CALL in after(in_lines(tern, *CHEST_PAIN), "The input ended before the session did.")
    assert status(tern) == "review"  # the clinic sees it although nobody came back


def test_the_next_start_says_the_advice_first_and_asks_again_where_the_client_goes_on(demo_profiles: Path) -> None:
    tern, clock = demo_profiles / "tern", FakeClock()
    in_lines(tern, *CHEST_PAIN, clock=clock)
    clock.advance(300)
    page = after(in_lines(tern, "y", "n", clock=clock), "Go on where you were?")
    assert page.index(CALL) < page.index("was interrupted")
    assert "It was not confirmed." in page
    assert page.index("Is that correct?") > page.index("Keys, ")
    assert read_client_folder(tern).records[-1].unconfirmed is None
    assert status(tern) == "paused"  # no sign any more, and it is not said what it is instead


@pytest.mark.parametrize("hours", [0.1, 5.0])
def test_where_the_next_start_ends_that_session_the_choice_counts(demo_profiles: Path, hours: float) -> None:
    """By the client within two hours, and by the program after them."""
    tern, clock = demo_profiles / "tern", FakeClock()
    in_lines(tern, *CHEST_PAIN, clock=clock)
    clock.advance(3600 * hours)
    if hours < 2:
        with pytest.raises(NotAdmitted, match=CALL):
            in_lines(tern, "n", clock=clock)
    else:
        closed = open_session(ClientStore.read(tern, shipped()), clock())
        assert CALL in closed.store.admission(clock().at).sentence
    record = read_client_folder(tern).records[-1]
    assert record.ended is not None
    assert (record.ended.how, record.ended.decision.numbers["sign"]) == ("stopped", "chest_pain")
    assert isinstance(record.entry[-2], Answered)
    assert status(tern) == "review"


def test_of_several_exercises_too(demo_profiles: Path) -> None:
    curlew, clock = demo_profiles / "curlew", FakeClock()
    in_lines(curlew, *CHEST_PAIN, clock=clock)
    clock.advance(300)
    with pytest.raises(NotAdmitted, match=CALL):
        in_lines(curlew, "n", clock=clock)
    assert {one.progress.status for one in ClientStore.read(curlew, shipped()).exercises} == {"review"}


def test_the_pain_key_works_on_the_page_that_asks_whether_to_go_on(demo_profiles: Path) -> None:
    tern, clock = demo_profiles / "tern", FakeClock()
    in_lines(tern, "", "", "0", clock=clock)
    clock.advance(300)
    out = in_lines(tern, "p", clock=clock)
    assert "What is it?" in after(out, "Go on where you were?")
    assert not any("is no key here" in line for line in out)


async def test_it_does_so_on_screens_and_the_advice_is_first(demo_profiles: Path) -> None:
    tern, clock = demo_profiles / "tern", FakeClock()
    in_lines(tern, *CHEST_PAIN, clock=clock)
    clock.advance(300)
    app = session_app(tern, clock)
    async with app.run_test(size=(60, 20)) as pilot:
        shown = as_text(runs(app))
        assert shown.index("emergency number now") < shown.index("was interrupted")
        await pilot.press("p")
        await pilot.pause()
        assert live(app).state.chosen is not None
        assert "emergency" in as_text(runs(app))


@pytest.mark.parametrize("size", [(40, 12), (30, 8), (20, 5)])
async def test_a_window_made_too_small_keeps_the_advice(demo_profiles: Path, size: tuple[int, int]) -> None:
    app = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*CHEST_PAIN)
        await pilot.resize_terminal(*size)
        await pilot.pause()
        shown = " ".join(as_text(runs(app)).replace("█", " ").split())
        assert shown.startswith("Stop now. Call your local emergency")
        await pilot.press("y")
        await pilot.pause()
        assert "y is no key here." in " ".join(as_text(runs(app)).split())
        assert not live(app).state.over
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert "no key here" not in as_text(runs(app))


async def test_the_page_of_the_keys_keeps_it_too(demo_profiles: Path) -> None:
    app = session_app(demo_profiles / "tern", FakeClock())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*CHEST_PAIN, "question_mark")
        await pilot.pause()
        assert "Call your local emergency number now" in as_text(runs(app))

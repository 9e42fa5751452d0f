"""Where the disk refuses, what the client must do is said first, and that it is not saved is said next to it."""

import shutil
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from coach.model import step_names
from coach.screens.plain.plain_session import PlainSession
from coach.session.script import Work
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from coach.store.records import record_file
from coach.toml import atomic_write
from tests.clocks import FakeClock
from tests.journeys.walk import let_pass, live, session_app, walk
from tests.plans import shipped
from tests.screens.capture import as_text, runs
from tests.screens.plain.output_lines import TO_THE_FIRST_SET, Typist

EMERGENCY = "call your local emergency number"


class Pulled(Typist):
    """Types as a client does; before one of the lines the folder goes away, as a stick that is pulled out."""

    folder: Path
    left: int

    def line(self, within_s: float | None) -> str | None:
        """As `Typist`."""
        if within_s is None or self.timed:
            self.left -= 1
            if self.left == 0:
                shutil.rmtree(self.folder)
        return super().line(within_s)


def pulled(folder: Path, lines: Sequence[str], after: int, timed: dict[float, str] | None = None) -> list[str]:
    """The output of a plain session whose folder goes away before line number `after`."""
    clock, out = FakeClock(), list[str]()
    typist = Pulled(clock, lines, timed or {})
    typist.folder, typist.left = folder, after
    client = ClientStore.read(folder, shipped())
    PlainSession(shipped(), open_session(client, clock()), clock, typist, out.append).run()
    return out


def test_a_warning_sign_is_answered_with_its_advice_though_nothing_can_be_written(demo_profiles: Path) -> None:
    out = pulled(demo_profiles / "tern", ["", "", "0", "1", "1"], after=5)
    advice = next(number for number, line in enumerate(out) if EMERGENCY in line.lower())
    not_saved = next(number for number, line in enumerate(out) if line.startswith("This is not saved: "))
    assert advice < not_saved
    assert "Everything is saved." not in out


def test_leaving_does_not_claim_that_the_session_is_kept(demo_profiles: Path) -> None:
    """The input ends after the folder has gone."""
    out = pulled(demo_profiles / "tern", ["", "", "0"], after=4)
    assert out[-1].startswith("Not all of this session is saved: ")


def test_the_question_whether_to_leave_does_not_claim_it_either(demo_profiles: Path) -> None:
    out = pulled(demo_profiles / "tern", ["", "", "0", "q", "y"], after=4)
    asked = out[out.index("End the session here?") :]
    assert any(line.startswith("Not all of this session is saved: ") for line in asked)
    assert not any(line.startswith("What you did and answered is kept.") for line in asked)


@pytest.mark.parametrize("keys", [["1", "1", "9", "y"], ["3", "y"]], ids=["a strong ache", "an unsound band"])
async def test_pain_and_an_unsound_band_in_a_set_stop_it_though_nothing_can_be_written(
    demo_profiles: Path, keys: list[str]
) -> None:
    clock, folder = FakeClock(), demo_profiles / "tern"
    app = session_app(folder, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, lambda state: isinstance(state.step, Work))
        await let_pass(pilot, app, clock, 25.0)
        shutil.rmtree(folder)
        await pilot.press("p")
        for key in keys:
            await pilot.press(key)
        state = live(app).state
        assert state.over
        assert state.record.ended is not None
        assert state.record.ended.how == "stopped"
        await pilot.pause()
        text = " ".join(as_text(runs(app)).split())
        assert "We stop here today" in text
        assert "This is not saved" in text
        assert "Everything is saved." not in text
    assert "Not all of this session is saved" in app.farewell


def test_a_sign_is_confirmed_or_taken_back_though_nothing_can_be_written(demo_profiles: Path) -> None:
    """Confirmed it ends the session; taken back the signs are asked again, and nothing goes on before it is saved."""
    again = Path(shutil.copytree(demo_profiles / "tern", demo_profiles / "tern-2"))
    confirmed = pulled(demo_profiles / "tern", ["", "", "0", "1", "1", "y"], after=5)
    assert "We stop here today" in confirmed
    assert any(line.startswith("This is not saved: ") for line in confirmed)
    assert not any("Start the same command again" in line for line in confirmed)
    back = pulled(again, ["", "", "0", "1", "1", "n", "n"], after=5)
    after = back[back.index("Please confirm") :]
    assert sum(line.startswith("Group 1 of 3.") for line in after) == 2
    assert any(line.startswith("This could not be saved: ") for line in back)
    assert back[-1].startswith("Not all of this session is saved: ")


def test_what_is_not_saved_is_not_said_to_keep_the_next_session_away(demo_profiles: Path) -> None:
    """It once said "There is no next session until they have looked", and the next start offered one."""
    out = pulled(demo_profiles / "tern", ["", "", "0", "p", "1", "1", "9", "y"], after=4)
    asked, stopped = out.index("Please confirm"), out.index("We stop here today")
    for page in (out[asked:stopped], out[stopped:]):
        text = " ".join(page)
        assert "no session until" not in text
        assert "no next session" not in text
        assert "This is not saved: " in text
        assert "may therefore offer you a session again. Do none before your therapist has looked." in text
    end = " ".join(out[stopped:])
    assert end.index("Call your therapist now.") < end.index("Do not train until your therapist has looked")


def test_pain_that_stops_for_today_alone_needs_no_such_word(demo_profiles: Path) -> None:
    out = pulled(demo_profiles / "tern", ["", "", "7", "y"], after=3)
    assert any(line.startswith("This is not saved: ") for line in out)
    assert not any("offer you a session again" in line for line in out)


async def test_the_advice_stays_in_view_on_a_small_screen(demo_profiles: Path) -> None:
    """Chest pain at the check-in, on the smallest window: the advice is above everything else."""
    clock, folder = FakeClock(), demo_profiles / "tern"
    app = session_app(folder, clock)
    async with app.run_test(size=(60, 20)) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == step_names.SIGN)
        shutil.rmtree(folder)
        await pilot.press("1")
        await pilot.pause()
        assert EMERGENCY in " ".join(as_text(runs(app)).split()).lower()
        await pilot.press("ctrl+c")
        await pilot.pause()
        asked = " ".join(as_text(runs(app)).split())
        assert "Not all of this session is saved: " in asked
        assert "is kept" not in asked


def test_what_was_not_saved_is_saved_as_soon_as_it_can_be(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk refuses one answer about a pain and takes the next: both are in the record."""
    real: Callable[[int, bytes], None] = atomic_write.write_flushed
    refused = list[int]()

    def once(handle: int, data: bytes) -> None:
        if b"trouble" in data and not refused:
            refused.append(1)
            raise OSError(30, "Read-only file system")
        real(handle, data)

    monkeypatch.setattr(record_file, "write_flushed", once)
    folder, clock, out = demo_profiles / "tern", FakeClock(), list[str]()
    client = ClientStore.read(folder, shipped())
    typist = Typist(clock, [*TO_THE_FIRST_SET, "1", "1", "2"], {35.0: "p"})
    PlainSession(shipped(), open_session(client, clock()), clock, typist, out.append).run()
    (record,) = read_client_folder(folder).records
    assert refused
    assert {"set_1.trouble", "set_1.trouble_where", "set_1.trouble_pain"} <= record.answers.keys()

"""The client's own tempo is timed in lines and from answers as it is in the window."""

import os
from pathlib import Path

import pytest

from coach.model.answers_file import Answers
from coach.model.record import OwnTempo, Record
from coach.screens.plain.line_input import KeyboardInput
from coach.screens.plain.plain_session import PlainSession
from coach.session.rehearsal import rehearse
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import START, FakeClock
from tests.plans import next_plan, shipped
from tests.screens.plain.output_lines import newest, run_with_answers, told, without_times

# Keys from the first page to the trial, and the one that begins it: no pain, settled, no painkiller, no sign, checks.
TO_THE_TRIAL = ("", "", "0", "1", "1", "n", "", "y", "y", "y", "", "y")
BEGUN = (*TO_THE_TRIAL, "")
FITS = "Yours 28 s, asked 28 s: that fits."


def own_tempo(record: Record) -> list[float]:
    """The seconds that were timed."""
    return [entry.took_s for entry in record.entry if isinstance(entry, OwnTempo)]


def test_enter_after_28_seconds_is_28_seconds(demo_profiles: Path) -> None:
    """Nothing is shown meanwhile, and the time is no gap all the same."""
    done = told(demo_profiles / "avocet", BEGUN, timed={28.0: ""})
    assert own_tempo(done.record) == [28.0]
    assert FITS in done.lines


def test_any_time_is_the_time_that_it_took(demo_profiles: Path) -> None:
    """A part of a second counts as well, so that the seconds in between are not what is timed."""
    done = told(demo_profiles / "avocet", BEGUN, timed={16.4: ""})
    assert own_tempo(done.record) == [16.4]
    assert any(line.startswith("Yours 16 s, asked 28 s: too fast.") for line in done.lines)


class SlowPipe:
    """A pipe that is read as by the program; each line after the first ones is sent at its time."""

    def __init__(self, clock: FakeClock, at_once: str, later: dict[float, str]) -> None:
        self._read, self._write = os.pipe()
        self._keyboard = KeyboardInput(self._read)
        self._clock = clock
        self._later = later
        os.write(self._write, at_once.encode())

    def line(self, within_s: float | None) -> str | None:
        """The next line; while the session waits with nothing to read, its time passes."""
        if (line := self._keyboard.line(0.0)) is not None:
            return line
        due_s = min(self._later, default=None)
        if due_s is None:
            os.close(self._write)
            return self._keyboard.line(None)
        until_s = due_s if within_s is None else min(due_s, self._clock.s + within_s)
        self._clock.advance(until_s - self._clock.s)
        if until_s == due_s:
            os.write(self._write, self._later.pop(due_s).encode())
        return None


def test_it_is_timed_through_a_pipe(demo_profiles: Path) -> None:
    folder, clock, out = demo_profiles / "avocet", FakeClock(), list[str]()
    pipe = SlowPipe(clock, "".join(f"{line}\n" for line in BEGUN), {28.0: "\n"})
    opening = open_session(ClientStore.read(folder, shipped()), clock())
    assert not PlainSession(shipped(), opening, clock, pipe, out.append).run()
    assert own_tempo(newest(folder)) == [28.0]
    assert FITS in out


@pytest.mark.parametrize("answers", [Answers(), Answers(trial_s=15.0)])
def test_answers_from_a_file_take_the_time_that_they_say(demo_profiles: Path, answers: Answers) -> None:
    """The rehearsal in lines comes to the decision of the preview, which is made without screens."""
    folder, lines = demo_profiles / "avocet", list[str]()
    record, _ = rehearse(next_plan(folder), answers, START)
    assert run_with_answers(folder, answers, lines.append)
    on_file = read_client_folder(folder).records[-1]
    assert own_tempo(on_file) == own_tempo(record) == [answers.trial_s or 28.0]
    assert without_times(on_file) == without_times(record)

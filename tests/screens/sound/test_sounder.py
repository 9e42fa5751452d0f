"""Programs that play sound: chosen, started, given up after a failure, and ended with the session."""

import os
import stat
import subprocess
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from coach.model.messages.client import SignalName
from coach.model.profile import SoundSettings
from coach.screens.sound.players import PLAYERS, SILENCE, VOICES, Program, SoundOutput, find_sound_output
from coach.screens.sound.sounder import Sounder
from coach.screens.sound.tone_files import tone_folder
from coach.session.signals import Signal
from tests.clocks import FakeClock

PLAYER, VOICE = Program("player", ("-q", "{file}")), Program("voice", ("{language}", "{words}"))
ALL = SoundSettings(tones=True, voice=True)
WORDS: Mapping[SignalName, str] = {"out": "out", "hold": "-hold"}


def has(*names: str) -> Callable[[str], str | None]:
    """A machine with these programs."""
    return lambda name: f"/usr/bin/{name}" if name in names else None


def test_the_first_program_of_each_table_is_used() -> None:
    every = [program.name for program in (*PLAYERS, *VOICES)]
    assert find_sound_output(ALL, {}, has(*every)) == SoundOutput(PLAYERS[0], VOICES[0], bell=True)
    assert find_sound_output(ALL, {}, has("aplay", "say")) == SoundOutput(PLAYERS[2], VOICES[-1], bell=True)


def test_without_a_player_the_bell_rings_and_over_a_remote_shell_nothing_else() -> None:
    assert find_sound_output(ALL, {}, has()) == SoundOutput(bell=True)
    assert find_sound_output(ALL, {"SSH_CONNECTION": "192.0.2.1 1 192.0.2.2 22"}, has("aplay", "say")) == SoundOutput(
        bell=True
    )


def test_what_the_profile_wants_off_is_off() -> None:
    everything = has("aplay", "say")
    assert find_sound_output(SoundSettings(tones=False, voice=False), {}, everything) == SILENCE
    assert find_sound_output(SoundSettings(tones=False, voice=True), {}, everything) == SoundOutput(
        None, VOICES[-1], bell=False
    )
    assert find_sound_output(SoundSettings(), {}, everything).voice is None
    assert find_sound_output(SoundSettings(tones=False), {"SSH_TTY": "/dev/pts/1"}, everything) == SILENCE


@dataclass
class Started:
    """A program that was started and ends when a test says so."""

    command: tuple[str, ...]
    stdin: int
    stdout: int
    stderr: int
    code: int | None = None
    ended_by: list[str] = field(default_factory=list)

    def poll(self) -> int | None:
        return self.code

    def terminate(self) -> None:
        self.ended_by.append("terminate")

    def kill(self) -> None:
        self.ended_by.append("kill")

    def wait(self, timeout: float | None = None) -> int:
        if timeout is not None and "deaf" in self.command:
            raise subprocess.TimeoutExpired("deaf", timeout)
        return 0


class Machine:
    """Everything that was started, and how often the bell rang."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, found: SoundOutput, missing: bool = False) -> None:
        self.started: list[Started] = []
        self.rings = 0
        self.clock = FakeClock()
        self.sounder = Sounder(found, WORDS, "en", self.ring, self.clock)

        def start(command: tuple[str, ...], stdin: int, stdout: int, stderr: int) -> Started:
            if missing:
                raise FileNotFoundError(command[0])
            self.started.append(Started(command, stdin, stdout, stderr))
            return self.started[-1]

        monkeypatch.setattr("subprocess.Popen", start)
        self.sounder.prepare()

    def ring(self) -> None:
        self.rings += 1

    def sound(self, *names: SignalName) -> None:
        self.sounder.sound([Signal(0.0, name) for name in names])


def test_a_tone_is_played_from_a_file_that_only_the_user_reads(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = Machine(monkeypatch, SoundOutput(PLAYER, bell=True))
    machine.sound("out")
    (started,) = machine.started
    file = Path(started.command[-1])
    assert started.command[:2] == ("player", "-q")
    assert started.stdin == started.stdout == started.stderr == subprocess.DEVNULL
    assert file.read_bytes()[:4] == b"RIFF"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    assert file.parent == tone_folder(os.environ)
    assert machine.rings == 0


def test_a_folder_that_others_could_read_is_closed_to_them(monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tone_folder(os.environ)
    folder.mkdir(parents=True, mode=0o755)
    Machine(monkeypatch, SoundOutput(PLAYER))
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_only_the_newest_of_what_came_due_is_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = Machine(monkeypatch, SoundOutput(PLAYER))
    machine.sound("out", "hold")
    machine.sound()
    assert [Path(one.command[-1]).stem for one in machine.started] == ["hold"]


def test_a_player_that_fails_is_given_up_and_the_bell_rings(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = Machine(monkeypatch, SoundOutput(PLAYER, bell=True))
    machine.sound("count")
    machine.started[0].code = 1
    machine.sound("out")
    machine.sound("count")
    assert len(machine.started) == 1
    assert machine.rings == 1  # for the phase, not for a second of the count-in
    assert machine.sounder.close() == (PLAYER,)


def test_a_player_that_is_not_there_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = Machine(monkeypatch, SoundOutput(PLAYER, bell=True), missing=True)
    machine.sound("out")
    assert machine.rings == 1


def test_a_player_that_hangs_is_ended_and_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = Machine(monkeypatch, SoundOutput(Program("deaf", ("deaf", "{file}")), bell=True))
    machine.sound("out")
    machine.clock.advance(6.0)
    machine.sound("hold")
    assert machine.started[0].ended_by == ["terminate", "kill"]
    assert (len(machine.started), machine.rings) == (1, 1)


def test_a_word_cuts_the_last_one_short_and_has_not_failed(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = Machine(monkeypatch, SoundOutput(voice=VOICE))
    machine.sound("out")
    machine.sound("hold")
    machine.started[0].code = -15
    machine.sound("out")
    assert [one.command for one in machine.started] == [
        ("voice", "en", "out"),
        ("voice", "en", "hold"),  # never taken for an option
        ("voice", "en", "out"),
    ]
    assert machine.started[0].ended_by == ["terminate"]


def test_nothing_outlives_the_session(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = Machine(monkeypatch, SoundOutput(PLAYER, VOICE))
    machine.sound("out")
    machine.sounder.close()
    assert [one.ended_by for one in machine.started] == [["terminate", "terminate"]] * 2
    machine.sounder.close()
    assert len(machine.started) == 2


def test_silence_starts_nothing_rings_nothing_and_writes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = Machine(monkeypatch, SILENCE)
    machine.sound("out", "rest_over")
    assert machine.started == []
    assert machine.rings == 0
    assert not tone_folder(os.environ).exists()


def test_where_no_file_can_be_written_the_bell_rings(monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tone_folder(os.environ)
    folder.parent.mkdir(parents=True, exist_ok=True)
    folder.write_text("in the way")
    machine = Machine(monkeypatch, SoundOutput(PLAYER, bell=True))
    machine.sound("out")
    assert machine.started == []
    assert machine.rings == 1


def test_a_real_program_is_started_and_ended(tmp_path: Path) -> None:
    """Not a fake: a shell that reports its file through a pipe and then waits forever."""
    pipe, script = tmp_path / "pipe", tmp_path / "player"
    os.mkfifo(pipe)
    script.write_text(f'#!/bin/sh\necho "$1" > {pipe}\nexec sleep 1000\n')
    script.chmod(0o700)
    sounder = Sounder(SoundOutput(Program(str(script), ("{file}",))), {}, "en", lambda: None, FakeClock())
    sounder.prepare()
    sounder.sound([Signal(0.0, "rest_over")])
    assert pipe.read_text().strip().endswith("rest_over.wav")
    (started,) = sounder._started
    sounder.close()
    assert started.process.returncode == -15

"""Programs that play sound: chosen, started, given up after a failure, and ended with the session."""

import os
import stat
import subprocess
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from coach.model.messages.client import SignalName
from coach.model.profile import SoundSettings
from coach.screens.sound.players import (
    PLAYERS,
    SILENCE,
    VOICES,
    Command,
    Program,
    SoundOutput,
    Voice,
    find_sound_output,
)
from coach.screens.sound.sound_queue import Priority, Sound
from coach.screens.sound.sounder import Sounder, start_program
from coach.screens.sound.speech import Speech, SpokenAloud
from coach.screens.sound.tone_files import tone_folder
from coach.session.signals import Signal
from tests.clocks import FakeClock
from tests.screens.sound.recorder import PLAYER, Recorder, seconds_of_words

ALL = SoundSettings(tones=True, voice=True)
SPEAKING = SoundOutput(PLAYER, voice_on=True)


def has(*names: str) -> Callable[[str], str | None]:
    """A machine with these programs."""
    return lambda name: f"/usr/bin/{name}" if name in names else None


def test_the_first_program_of_each_table_is_used() -> None:
    every = [*(program.name for program in PLAYERS), *(voice.name for voice in VOICES)]
    assert find_sound_output(ALL, {}, has(*every)) == SoundOutput(PLAYERS[0], VOICES[0], bell=True, voice_on=True)
    found = find_sound_output(ALL, {}, has("aplay", "spd-say"))
    assert found == SoundOutput(PLAYERS[2], VOICES[-1], bell=True, voice_on=True)


def test_without_a_player_the_bell_rings_and_over_a_remote_shell_nothing_else() -> None:
    assert find_sound_output(ALL, {}, has()) == SoundOutput(bell=True, voice_on=True, no_voice="no_program")
    remote = find_sound_output(ALL, {"SSH_CONNECTION": "192.0.2.1 1 192.0.2.2 22"}, has("aplay", "say"))
    assert remote == SoundOutput(bell=True, voice_on=True, no_voice="remote")


def test_a_voice_that_only_writes_files_needs_a_player() -> None:
    assert find_sound_output(ALL, {}, has("say")).no_voice == "no_player"
    assert find_sound_output(ALL, {}, has("say", "afplay")).no_voice is None
    assert find_sound_output(ALL, {}, has("espeak-ng")).voice == VOICES[0]


def test_what_the_profile_wants_off_is_off_and_the_voice_is_on_without_a_word_about_it() -> None:
    everything = has("aplay", "espeak-ng")
    off = find_sound_output(SoundSettings(tones=False, voice=False), {}, everything)
    assert (off.tones, off.voice_on, off.bell) == (False, False, False)
    assert off.voice == VOICES[0]  # so that the key can switch it on
    assert find_sound_output(SoundSettings(), {}, everything).voice_on
    assert not find_sound_output(SoundSettings(tones=False), {"SSH_TTY": "/dev/pts/1"}, everything).bell


@dataclass
class Started:
    """A program that was started and ends when a test says so."""

    command: Command
    code: int | None = None
    ended_by: list[str] = field(default_factory=list)

    def poll(self) -> int | None:
        return self.code

    def terminate(self) -> None:
        self.ended_by.append("terminate")

    def kill(self) -> None:
        self.ended_by.append("kill")

    def wait(self, timeout: float | None = None) -> int:
        if timeout is not None and "deaf" in self.command.line:
            raise subprocess.TimeoutExpired("deaf", timeout)
        return 0


class Machine:
    """Everything that was started, and how often the bell rang."""

    def __init__(self, found: SoundOutput, speech: Speech | None = None, missing: bool = False) -> None:
        self.started: list[Started] = []
        self.rings = 0
        self.clock = FakeClock()
        self.missing = missing
        self.sounder = Sounder(found, speech, self.ring, self.clock, self.start)
        self.sounder.prepare()

    def start(self, command: Command) -> Started:
        if self.missing:
            raise FileNotFoundError(command.line[0])
        self.started.append(Started(command))
        return self.started[-1]

    def ring(self) -> None:
        self.rings += 1

    def sound(self, *names: SignalName) -> None:
        self.sounder.sound([Signal(0.0, name) for name in names])
        self.sounder.advance()

    @property
    def played(self) -> list[str]:
        return [Path(one.command.line[-1]).stem for one in self.started]


def test_a_tone_is_played_from_a_file_that_only_the_user_reads() -> None:
    machine = Machine(SoundOutput(Program("player", ("-q", "{file}")), bell=True))
    machine.sound("out")
    (started,) = machine.started
    file = Path(started.command.line[-1])
    assert started.command.line[:2] == ("player", "-q")
    assert file.read_bytes()[:4] == b"RIFF"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    assert file.parent == tone_folder(os.environ)
    assert machine.rings == 0


def test_a_folder_that_others_could_read_is_closed_to_them() -> None:
    folder = tone_folder(os.environ)
    folder.mkdir(parents=True, mode=0o755)
    Machine(SoundOutput(PLAYER))
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_only_the_newest_of_what_came_due_is_heard() -> None:
    machine = Machine(SoundOutput(PLAYER))
    machine.sound("out", "hold")
    machine.sound()
    assert machine.played == ["hold"]


def test_a_player_that_fails_is_given_up_and_the_bell_rings() -> None:
    machine = Machine(SoundOutput(PLAYER, bell=True))
    machine.sound("count")
    machine.started[0].code = 1
    machine.sounder.advance()
    machine.sound("out")
    machine.sound("count")
    assert len(machine.started) == 1
    assert machine.rings == 1  # for the phase, not for a second of the count-in
    assert machine.sounder.close() == (PLAYER,)


def test_a_player_that_is_not_there_is_given_up() -> None:
    machine = Machine(SoundOutput(PLAYER, bell=True), missing=True)
    machine.sound("out")
    assert machine.rings == 1


def test_a_player_that_hangs_is_ended_and_given_up() -> None:
    machine = Machine(SoundOutput(Program("deaf", ("deaf", "{file}")), bell=True))
    machine.sound("out")
    machine.clock.advance(6.0)
    machine.sounder.advance()
    machine.sound("hold")
    assert machine.started[0].ended_by == ["terminate", "kill"]
    assert (len(machine.started), machine.rings) == (1, 1)


def test_the_words_of_a_signal_follow_its_tone_and_the_next_signal_cuts_them_short() -> None:
    clock = FakeClock()
    recorder = Recorder(clock, SPEAKING)
    recorder.sounder.prepare()
    recorder.sounder.sound([Signal(0.0, "out")], "1, out")
    for _ in range(3):
        recorder.sounder.advance()
        clock.advance(0.2)
    recorder.sounder.sound([Signal(3.0, "hold")], "hold")
    recorder.sounder.advance()
    assert [(one.what, one.spoken, one.cut) for one in recorder.heard] == [
        ("out", False, False),
        ("1, out", True, True),
        ("hold", False, False),
    ]
    assert recorder.overlaps() == []
    assert recorder.sounder.close() == ()  # a word cut short has not failed


def test_what_keeps_the_client_safe_is_said_to_its_end() -> None:
    clock = FakeClock()
    recorder = Recorder(clock, SPEAKING)
    recorder.sounder.prepare()
    recorder.sounder.say([Sound(Priority.STOP, "If it hurts: lower it.")])
    recorder.sounder.advance()
    clock.advance(1.0)
    recorder.sounder.sound([Signal(1.0, "count")], "2")
    recorder.sounder.sound([Signal(1.0, "set_over")])
    recorder.sounder.end_page()
    recorder.sounder.advance()
    clock.advance(seconds_of_words("If it hurts: lower it.") - 1.0)
    recorder.sounder.advance()
    assert [(one.what, one.cut) for one in recorder.heard] == [("If it hurts: lower it.", False)]
    assert recorder.overlaps() == []  # and a second of the count-in that is over is not said after it


def test_a_page_that_is_gone_is_not_said_to_its_end() -> None:
    recorder = Recorder(FakeClock(), SPEAKING)
    recorder.sounder.say([Sound(Priority.LINE, "one"), Sound(Priority.LINE, "two")])
    recorder.sounder.advance()
    recorder.sounder.end_page()
    recorder.sounder.advance()
    assert [(one.what, one.cut) for one in recorder.heard] == [("one", True)]


def test_switched_off_the_voice_ends_in_the_middle_of_a_word_and_the_tones_stay() -> None:
    recorder = Recorder(FakeClock(), SPEAKING)
    recorder.sounder.prepare()
    recorder.sounder.say([Sound(Priority.LINE, "one"), Sound(Priority.LINE, "two")])
    recorder.sounder.advance()
    recorder.sounder.switch_voice(False)
    recorder.sounder.sound([Signal(0.0, "out")], "1, out")
    recorder.sounder.say([Sound(Priority.LINE, "three")])
    for _ in range(3):
        recorder.sounder.advance()
        recorder.clock.advance(1.0)
    assert [(one.what, one.cut) for one in recorder.heard] == [("one", True), ("out", False)]


def test_in_a_faster_rehearsal_words_take_as_many_of_its_seconds() -> None:
    """At ten times the speed a line of two seconds lasts twenty, and does not fit before a signal in ten."""
    recorder = Recorder(FakeClock(), SoundOutput(PLAYER, voice_on=True, speed=10.0))
    recorder.sounder.say([Sound(Priority.LINE, "x" * 24)])
    recorder.sounder.advance(free_until_s=10.0)
    assert recorder.heard == []
    recorder.sounder.advance(free_until_s=21.0)
    assert len(recorder.heard) == 1


def test_where_the_player_fails_nothing_is_said_and_the_reason_is_known() -> None:
    machine = Machine(SPEAKING, Recorder(FakeClock()).speech)
    machine.sounder.say([Sound(Priority.LINE, "one"), Sound(Priority.LINE, "two")])
    machine.sounder.advance()
    machine.started[0].code = 1
    machine.sounder.advance()
    assert len(machine.started) == 1
    assert machine.sounder.no_voice == "failed"
    assert machine.sounder.wait_s is None


def test_a_program_that_ends_at_once_without_complaint_has_said_nothing() -> None:
    """As espeak-ng 1.51 does where there is no sound card: 0.05 s and exit code 0."""
    machine = Machine(SPEAKING, Recorder(FakeClock()).speech)
    machine.sounder.say([Sound(Priority.LINE, "a line of some length"), Sound(Priority.LINE, "two")])
    machine.sounder.advance()
    machine.clock.advance(0.05)
    machine.started[0].code = 0
    machine.sounder.advance()
    assert (len(machine.started), machine.sounder.no_voice) == (1, "failed")


def test_a_program_that_speaks_aloud_through_a_service_is_silenced_there() -> None:
    voice = Voice(None, Program("service", ("{words}",)), silence=("service", "-C"))
    assert voice.aloud is not None
    machine = Machine(SoundOutput(voice=voice, voice_on=True), SpokenAloud(voice, voice.aloud, "en"))
    machine.sounder.say([Sound(Priority.LINE, "one")])
    machine.sounder.advance()
    machine.sounder.end_page()
    assert [one.command.line for one in machine.started] == [("service", "one"), ("service", "-C")]


def test_nothing_outlives_the_session() -> None:
    machine = Machine(SoundOutput(PLAYER))
    machine.sound("out")
    machine.sounder.close()
    assert [one.ended_by for one in machine.started] == [["terminate"]]
    machine.sounder.close()
    assert len(machine.started) == 1


def test_silence_starts_nothing_rings_nothing_and_writes_nothing() -> None:
    machine = Machine(SILENCE)
    machine.sound("out", "rest_over")
    assert machine.started == []
    assert machine.rings == 0
    assert not tone_folder(os.environ).exists()


def test_where_no_file_can_be_written_the_bell_rings() -> None:
    folder = tone_folder(os.environ)
    folder.parent.mkdir(parents=True, exist_ok=True)
    folder.write_text("in the way")
    machine = Machine(SoundOutput(PLAYER, bell=True))
    machine.sound("out")
    assert machine.started == []
    assert machine.rings == 1


def test_a_real_program_is_started_and_ended(tmp_path: Path) -> None:
    """Not a fake: a shell that reports its file through a pipe and then waits forever."""
    pipe, script = tmp_path / "pipe", tmp_path / "player"
    os.mkfifo(pipe)
    script.write_text(f'#!/bin/sh\necho "$1" > {pipe}\nexec sleep 1000\n')
    script.chmod(0o700)
    sounder = Sounder(SoundOutput(Program(str(script), ("{file}",))), None, lambda: None, FakeClock())
    sounder.prepare()
    sounder.sound([Signal(0.0, "rest_over")])
    sounder.advance()
    assert pipe.read_text().strip().endswith("rest_over.wav")
    playing = sounder._playing
    assert playing is not None
    sounder.close()
    assert playing.process.poll() == -15


def test_a_program_is_started_away_from_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[dict[str, object]] = []
    monkeypatch.setattr("subprocess.Popen", lambda *_, **options: given.append(options))
    start_program(Command(("player",), (("WORDS", "hold"),)))
    (options,) = given
    assert options["stdin"] == options["stdout"] == options["stderr"] == subprocess.DEVNULL
    environment = options["env"]
    assert isinstance(environment, dict)
    assert environment["WORDS"] == "hold"

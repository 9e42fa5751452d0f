"""Plays tones and words, one at a time. Programs are started and never waited for, so that no screen is held up."""

import math
import subprocess
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Protocol

from msgspec import Struct

from coach.model.messages.client import SignalName
from coach.screens.sound.players import Command, NoVoice, Program, SoundOutput
from coach.screens.sound.recordings import Recordings, archive_of
from coach.screens.sound.sound_queue import Priority, Sound, SoundQueue
from coach.screens.sound.speech import Speech, SpokenAloud
from coach.screens.sound.speech_files import SpeechFiles, with_variables
from coach.screens.sound.tone_files import write_tones
from coach.screens.sound.tones import TONES, sound_file, tone_seconds
from coach.session.signals import Signal
from coach.store.clock import Clock

# A program that still runs so long after its sound should be over has hung.
_HUNG_S = 5.0
_CLOSING_S = 0.2
# A signal that comes later than this would mislead.
_LATE_S = 0.5
# The signals that end a part of the session: their words are said to the end.
_TURNS: tuple[SignalName, ...] = ("set_over", "rest_over")
# The share of their length in which words cannot have been said.
_TOO_SOON = 0.2
# How often a program is asked whether it has ended.
_ASK_EVERY_S = 0.02


class Process(Protocol):
    """A program that was started."""

    def poll(self) -> int | None:
        """Its exit code; None while it runs."""

    def terminate(self) -> None:
        """Ask it to end."""

    def kill(self) -> None:
        """End it."""

    def wait(self, timeout: float | None = None) -> int:
        """Wait for its end."""


Start = Callable[[Command], Process]


class _Playing(Struct, frozen=True):
    sound: Sound
    program: Program
    process: Process
    began_s: float
    over_s: float

    def said_nothing(self, now_s: float) -> bool:
        """Whether a program that reports no failure ended far too soon: some do so where there is no loudspeaker."""
        length_s = self.over_s - self.began_s
        return bool(self.sound.words) and length_s > 0 and now_s - self.began_s < _TOO_SOON * length_s


class Sounder:
    """Plays what is in its queue. A program that fails once is not tried again; the bell is used instead.

    `ring` rings the terminal's bell; `start` starts a program.
    """

    def __init__(
        self,
        output: SoundOutput,
        speech: Speech | None,
        ring: Callable[[], None],
        clock: Clock,
        start: "Start | None" = None,
    ) -> None:
        self.voice_on = output.voice_on
        self._output = output
        self._player = output.player
        self._speech = speech
        self._no_voice = output.no_voice if speech is None else None
        self._ring = ring
        self._clock = clock
        self._start = start or start_program
        self._speed = output.speed
        self._queue = SoundQueue()
        self._files: Mapping[SignalName, Path] = {}
        self._playing: _Playing | None = None
        self._failed: list[Program] = []

    def prepare(self, lines: Iterable[str] = ()) -> None:
        """Write the tones to files for the player, and begin to make those of the lines that will be said."""
        if self._player is not None and self._output.tones:
            try:
                self._files = write_tones({name: sound_file(notes) for name, notes in TONES.items()})
            except OSError:
                self._player = None
        if self._speech is not None:
            self._speech.prepare(lines)

    @property
    def speaks(self) -> bool:
        """Whether words are said now."""
        return self.voice_on and self.no_voice is None

    @property
    def reads_pages(self) -> bool:
        """Whether the pages are said now, and not only a set."""
        return self.speaks and self._speech is not None and self._speech.reads_pages

    @property
    def no_voice(self) -> NoVoice | None:
        """Why no words can be said, whether they are wanted or not; None if they can."""
        if self._no_voice is not None or self._speech is None:
            return self._no_voice or "no_program"
        return self._speech.no_voice

    def switch_voice(self, on: bool) -> None:
        """Switch the voice; off, it ends in the middle of a word."""
        self.voice_on = on
        if not on:
            self._queue.forget_words()
            if self._playing is not None and self._playing.sound.words:
                self._cut()

    def sound(self, signals: Sequence[Signal], words: str = "", tick: bool = False) -> None:
        """Sound the newest of these signals, with its words; older ones that came due meanwhile are left out.

        A `tick` is heard only if nothing else is. Of the rest only what keeps the client safe is not cut short.
        """
        if not signals:
            return
        name, now_s = signals[-1].name, self._clock().s
        words = words if self.speaks else ""
        self._queue.forget({Priority.TICK} if tick else {Priority.SIGNAL, Priority.TICK})
        priority = Priority.TICK if tick else Priority.STOP if name in _TURNS else Priority.SIGNAL
        if self._playing is not None and Priority.STOP < self._playing.sound.priority >= priority:
            self._cut()
        tone = Sound(priority, tone=name, until_s=now_s + _LATE_S * self._speed)
        self._queue.add([tone] if self._audible(name, words) else [])
        after_tone_s = now_s + (_LATE_S + tone_seconds(name)) * self._speed
        self._queue.add([Sound(priority, words, until_s=after_tone_s)] if words else [])

    def say(self, sounds: Iterable[Sound]) -> None:
        """Add words to the queue, if the voice is on."""
        if self.speaks:
            self._queue.add(sounds)

    def end_page(self) -> None:
        """Drop what is left of the lines of a page that is gone, and cut short the one that is being said."""
        self._queue.forget({Priority.LINE})
        if self._playing is not None and self._playing.sound.priority is Priority.LINE:
            self._cut()

    def advance(self, free_until_s: float = math.inf) -> None:
        """Begin the next sound if nothing is heard and there is room for it before the next signal is due."""
        self._collect_finished()
        while self._playing is None:
            sound = self._queue.take(self._clock().s, free_until_s, self._length_s)
            if sound is None:
                return
            self._begin(sound)

    @property
    def wait_s(self) -> float | None:
        """Seconds until the queue should be looked at again; None if nothing is heard and nothing waits."""
        if self._playing is not None:
            return max(self._playing.over_s - self._clock().s, _ASK_EVERY_S * self._speed)
        return _ASK_EVERY_S * self._speed if self._queue.unfinished(self._length_s) else None

    def close(self) -> tuple[Program, ...]:
        """End every program that still runs; return the programs that failed."""
        self._collect_finished()
        self._cut()
        if self._speech is not None:
            self._speech.close()
        return tuple(self._failed)

    def _audible(self, name: SignalName, words: str) -> bool:
        """Whether a signal has a tone here. The bell has one sound only: it marks changes that no word names."""
        return name in self._files if self._player is not None else name != "count" and not words

    def _length_s(self, sound: Sound) -> float | None:
        if sound.tone is not None:
            return tone_seconds(sound.tone) * self._speed if self._player is not None else 0.0
        if self._speech is None or self.no_voice is not None:
            return 0.0  # taken off the queue and not begun
        length_s = self._speech.length_s(sound.words)
        return None if length_s is None else length_s * self._speed

    def _begin(self, sound: Sound) -> None:
        program, command = self._player, None
        if sound.tone is not None and self._player is not None:
            command = self._player.command(file=str(self._files[sound.tone]))
        elif sound.words and self.speaks and self._speech is not None:
            program, command = self._speech.program, self._speech.command(sound.words)
        if program is not None and command is not None and self._started(sound, program, command):
            return
        if sound.tone is not None and sound.tone != "count" and self._output.bell:
            self._ring()

    def _started(self, sound: Sound, program: Program, command: Command) -> bool:
        length_s = self._length_s(sound) or 0.0
        try:
            process = self._start(command)
        except OSError:
            self._give_up(program)
            return False
        now_s = self._clock().s
        self._playing = _Playing(sound, program, process, now_s, now_s + length_s)
        return True

    def _collect_finished(self) -> None:
        """Forget a program that is done; give up one that failed or hangs."""
        playing = self._playing
        if playing is None:
            return
        code = playing.process.poll()
        if code is None and self._clock().s - playing.over_s < _HUNG_S * self._speed:
            return
        self._playing = None
        if code is None:
            end_program(playing.process)
        if code != 0 or playing.said_nothing(self._clock().s):
            self._give_up(playing.program)

    def _cut(self) -> None:
        """End what is heard now, before anything else begins."""
        playing, self._playing = self._playing, None
        if playing is None:
            return
        end_program(playing.process)
        silence = self._speech.silence() if self._speech is not None and playing.sound.words else None
        if silence is not None:
            with suppress(OSError):
                end_program(self._start(silence), _CLOSING_S)

    def _give_up(self, program: Program) -> None:
        """Use a program no more. Without the player there are no words either, unless they are said by another."""
        self._failed.append(program)
        self._player = None if program is self._player else self._player
        if self._speech is not None and program is self._speech.program:
            self._no_voice = "failed"
            self._queue.forget_words()


def speech_for(output: SoundOutput, language: str) -> Speech | None:
    """What says words here: files made beforehand, a program that speaks, or recordings where there is neither."""
    voice, recorded = output.voice, archive_of(language)
    if voice is None:
        recordings = output.player is not None and output.no_voice == "no_program" and recorded.exists()
        return Recordings(recorded, output.player) if output.player is not None and recordings else None
    if voice.to_file is not None and output.player is not None:
        return SpeechFiles(voice, voice.to_file, output.player, language)
    return SpokenAloud(voice, voice.aloud, language) if voice.aloud is not None else None


def start_program(command: Command) -> "subprocess.Popen[bytes]":
    """Start a program detached from the terminal. Raises OSError."""
    nothing = subprocess.DEVNULL
    return subprocess.Popen(command.line, stdin=nothing, stdout=nothing, stderr=nothing, env=with_variables(command))


def end_program(process: Process, patience_s: float = 0.0) -> None:
    """End a program: wait for it if it is to have some time, then terminate it, and kill it if it does not end."""
    try:
        if patience_s:
            process.wait(patience_s)
            return
    except subprocess.TimeoutExpired:
        pass
    process.terminate()
    try:
        process.wait(_CLOSING_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()

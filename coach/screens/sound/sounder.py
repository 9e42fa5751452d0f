"""Plays signals. Programs are started and never waited for, so that the screen is not held up."""

import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from coach.model.messages.client import SignalName
from coach.screens.sound.players import Program, SoundOutput
from coach.screens.sound.tone_files import write_tones
from coach.screens.sound.tones import TONES, sound_file
from coach.session.signals import Signal
from coach.store.clock import Clock

# Tones last less than a second and words less than five; a program that still runs then has hung.
_LONGEST_S = 5.0
_CLOSING_S = 0.2


@dataclass(frozen=True)
class _Started:
    program: Program
    process: "subprocess.Popen[bytes]"
    at_s: float
    cut_short: bool = False


class Sounder:
    """Plays tones and speaks words. A program that fails once is not tried again; the bell is used instead.

    `words` has the words to speak at a signal; `ring` rings the terminal's bell.
    """

    def __init__(
        self,
        output: SoundOutput,
        words: Mapping[SignalName, str],
        language: str,
        ring: Callable[[], None],
        clock: Clock,
    ) -> None:
        self._player = output.player
        self._voice = output.voice
        self._bell = output.bell
        self._messages = words
        self._language = language
        self._ring = ring
        self._clock = clock
        self._files: Mapping[SignalName, Path] = {}
        self._started: list[_Started] = []
        self._failed: list[Program] = []

    def prepare(self) -> None:
        """Write the tones to files for the player; if that fails, the bell is used instead."""
        if self._player is None:
            return
        try:
            self._files = write_tones({name: sound_file(notes) for name, notes in TONES.items()})
        except OSError:
            self._player = None

    def sound(self, signals: Sequence[Signal]) -> None:
        """Play the newest of these signals; older ones that came due in the meantime are skipped."""
        if not signals:
            return
        self._collect_finished()
        name = signals[-1].name
        self._play(name)
        self._say(name)

    def close(self) -> tuple[Program, ...]:
        """End every program that still runs; return the programs that failed."""
        self._collect_finished()
        for started in self._started:
            started.process.terminate()
        for started in self._started:
            _end(started.process)
        self._started = []
        return tuple(self._failed)

    def _play(self, name: SignalName) -> None:
        file = self._files.get(name)
        if self._player is not None and file is not None and self._start(self._player, file=str(file)):
            return
        # The bell has only one sound, so it marks changes and not every second of the count-in.
        if self._bell and name != "count":
            self._ring()

    def _say(self, name: SignalName) -> None:
        words = self._messages.get(name)
        if self._voice is None or words is None:
            return
        self._started = [self._cut_short(one) if one.program is self._voice else one for one in self._started]
        self._start(self._voice, words=words.lstrip("-"), language=self._language)

    def _start(self, program: Program, **places: str) -> bool:
        """Start a program detached from the terminal; return whether that succeeded."""
        nothing = subprocess.DEVNULL
        try:
            process = subprocess.Popen(program.command(**places), stdin=nothing, stdout=nothing, stderr=nothing)
        except OSError:
            self._give_up(program)
            return False
        self._started.append(_Started(program, process, self._clock().s))
        return True

    def _collect_finished(self) -> None:
        """Give up programs that failed or hang, and forget those that are done. A word cut short has not failed."""
        running = []
        for started in self._started:
            code = started.process.poll()
            if code is None and self._clock().s - started.at_s < _LONGEST_S:
                running.append(started)
            elif code is None:
                _end(started.process)
                self._give_up(started.program)
            elif code and not started.cut_short:
                self._give_up(started.program)
        self._started = running

    @staticmethod
    def _cut_short(started: _Started) -> _Started:
        started.process.terminate()
        return replace(started, cut_short=True)

    def _give_up(self, program: Program) -> None:
        self._failed.append(program)
        self._player = None if program is self._player else self._player
        self._voice = None if program is self._voice else self._voice


def _end(process: "subprocess.Popen[bytes]") -> None:
    """End a program: terminate it, and kill it if it does not end."""
    process.terminate()
    try:
        process.wait(_CLOSING_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()

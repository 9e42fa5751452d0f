"""A machine that speaks and writes down what was said and when, on a clock that a test moves."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from coach.screens.client.setup_context import SetupCache
from coach.screens.sound.announcer import Announcer
from coach.screens.sound.players import Command, NoVoice, Program, SoundOutput
from coach.screens.sound.sounder import Sounder
from coach.screens.sound.tones import TONES, tone_seconds
from coach.store.live_session import Opening
from tests.clocks import FakeClock

PLAYER, SPEAKER = Program("player", ("{file}",)), Program("speaker", ("{words}",))
# From files of one speech program at its usual speed: "3. out" 0.81 s, "Turn your hand out to the line." 1.89 s,
# "If it hurts: lower it, walk in." 2.49 s (measured with espeak-ng 1.51).
_A_WORD_S, _A_CHARACTER_S = 0.45, 0.065


def seconds_of_words(words: str) -> float:
    """How long the recorded voice takes: at least as long as the program measured."""
    return _A_WORD_S + _A_CHARACTER_S * len(words)


@dataclass
class Heard:
    """One sound: when it began, when it ended, and what it was."""

    begins_s: float
    ends_s: float
    what: str
    spoken: bool
    cut: bool = False


@dataclass
class Played:
    """A program that plays until its sound is over on the clock, or until it is ended."""

    heard: Heard
    clock: FakeClock

    def poll(self) -> int | None:
        return 0 if self.clock.s >= self.heard.ends_s else None

    def terminate(self) -> None:
        if self.clock.s < self.heard.ends_s:
            self.heard.ends_s, self.heard.cut = self.clock.s, True

    def kill(self) -> None:
        self.terminate()

    def wait(self, timeout: float | None = None) -> int:  # noqa: ARG002
        return 0


@dataclass
class RecordedSpeech:
    """Words with a length of their own; `unready` ones have no file yet."""

    program: Program = SPEAKER
    no_voice: NoVoice | None = None
    reads_pages: bool = True
    unready: set[str] = field(default_factory=set)
    prepared: list[str] = field(default_factory=list)

    def length_s(self, words: str) -> float | None:
        return None if words in self.unready else seconds_of_words(words)

    def command(self, words: str) -> Command | None:
        return self.program.command(words=words)

    def silence(self) -> Command | None:
        return None

    def prepare(self, lines: Iterable[str]) -> None:
        self.prepared = list(lines)

    def close(self) -> None:
        return None


class Recorder:
    """Everything that was heard in a session."""

    def __init__(
        self, clock: FakeClock, output: SoundOutput | None = None, speech: RecordedSpeech | None = None
    ) -> None:
        self.clock = clock
        self.heard: list[Heard] = []
        self.rings = 0
        self.speech = speech or RecordedSpeech()
        self.sounder = Sounder(
            output or SoundOutput(PLAYER, tones=True, voice_on=True), self.speech, self.ring, clock, self.start
        )

    def announcer(self, opening: Opening) -> Announcer:
        """The announcer of a session on this machine."""
        made = Announcer(self.sounder, opening, SetupCache())
        made.prepare(self.clock().at)
        return made

    def ring(self) -> None:
        self.rings += 1

    def start(self, command: Command) -> Played:
        """Begin to play."""
        spoken = command.line[0] == SPEAKER.name
        what = command.line[-1] if spoken else Path(command.line[-1]).stem
        length_s = self.speech.length_s(what) if spoken else next(tone_seconds(one) for one in TONES if one == what)
        self.heard.append(Heard(self.clock.s, self.clock.s + (length_s or 0.0), what, spoken))
        return Played(self.heard[-1], self.clock)

    def overlaps(self) -> list[tuple[Heard, Heard]]:
        """Pairs of sounds that were heard at once."""
        pairs = pairwise(self.heard)
        return [(one, other) for one, other in pairs if other.begins_s < one.ends_s - 1e-9]

    def transcript(self) -> str:
        """Every sound with the time at which it began: tones in brackets, a dash after what was cut short."""
        return "".join(f"{_clock(one.begins_s)}  {_as_written(one)}\n" for one in self.heard)


def _clock(seconds: float) -> str:
    return f"{int(seconds // 60):2}:{seconds % 60:04.1f}"


def _as_written(heard: Heard) -> str:
    return f"{heard.what}{' -' if heard.cut else ''}" if heard.spoken else f"[{heard.what}]"

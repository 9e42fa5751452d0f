"""The programs that can play a sound file or speak, and which of them to use."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from coach.model.profile import SoundSettings

Find = Callable[[str], str | None]
"""Returns the path of a program by its name, or None if it is not installed."""


@dataclass(frozen=True)
class Program:
    """A program and its arguments; `{file}`, `{words}` and `{language}` are filled in."""

    name: str
    arguments: tuple[str, ...]

    def command(self, **values: str) -> tuple[str, ...]:
        """The command line with the values filled in."""
        return (self.name, *(argument.format(**values) for argument in self.arguments))


# In order of preference: players for a sound server first, as they do not block other sound.
PLAYERS: tuple[Program, ...] = (
    Program("pw-play", ("{file}",)),
    Program("paplay", ("{file}",)),
    Program("aplay", ("-q", "{file}")),
    Program("afplay", ("{file}",)),
    Program("play", ("-q", "{file}")),
    Program("ffplay", ("-nodisp", "-autoexit", "-loglevel", "quiet", "{file}")),
)
VOICES: tuple[Program, ...] = (
    Program("spd-say", ("-l", "{language}", "{words}")),
    Program("espeak-ng", ("-v", "{language}", "{words}")),
    Program("espeak", ("-v", "{language}", "{words}")),
    Program("say", ("{words}",)),
)


@dataclass(frozen=True)
class SoundOutput:
    """How signals are made audible; any of it may be missing. `bell`: ring the bell if there is no player."""

    player: Program | None = None
    voice: Program | None = None
    bell: bool = False


SILENCE = SoundOutput()


def is_remote(environment: Mapping[str, str]) -> bool:
    """Whether the session runs over a remote shell, so that this machine's loudspeaker is not near the client."""
    return any(environment.get(name) for name in ("SSH_CONNECTION", "SSH_TTY"))


def find_sound_output(settings: SoundSettings, environment: Mapping[str, str], find: Find) -> SoundOutput:
    """The first player and the first voice installed, if the settings ask for them.

    Over a remote shell only the terminal's bell reaches the client.
    """
    if is_remote(environment):
        return SoundOutput(bell=settings.tones)
    return SoundOutput(
        player=_first(PLAYERS, find) if settings.tones else None,
        voice=_first(VOICES, find) if settings.voice else None,
        bell=settings.tones,
    )


def _first(programs: tuple[Program, ...], find: Find) -> Program | None:
    return next((program for program in programs if find(program.name)), None)

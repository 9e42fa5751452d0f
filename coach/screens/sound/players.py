"""Which programs of the machine can play a sound file or say a word, and which of them are to be used."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from coach.model.profile import SoundSettings

Find = Callable[[str], str | None]
"""From the name of a program to where it is; None where the machine has none."""


@dataclass(frozen=True)
class Program:
    """A program and its arguments; `{file}`, `{words}` and `{language}` are filled in."""

    name: str
    arguments: tuple[str, ...]

    def command(self, **places: str) -> tuple[str, ...]:
        """The whole command."""
        return (self.name, *(argument.format(**places) for argument in self.arguments))


# In the order in which they are tried: the sound servers first, so that other sound goes on.
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
class Means:
    """What signals are made heard with; all of it may be missing. `bell`: ring where there is no player."""

    player: Program | None = None
    voice: Program | None = None
    bell: bool = False


SILENCE = Means()


def is_remote(environment: Mapping[str, str]) -> bool:
    """Whether the screen is far from this machine, so that its loudspeaker is not beside the client."""
    return any(environment.get(name) for name in ("SSH_CONNECTION", "SSH_TTY"))


def means(settings: SoundSettings, environment: Mapping[str, str], find: Find) -> Means:
    """The first player and the first voice that the machine has, as the settings want them.

    Over a remote shell only the bell reaches the client.
    """
    if is_remote(environment):
        return Means(bell=settings.tones)
    return Means(
        player=_first(PLAYERS, find) if settings.tones else None,
        voice=_first(VOICES, find) if settings.voice else None,
        bell=settings.tones,
    )


def _first(programs: tuple[Program, ...], find: Find) -> Program | None:
    return next((program for program in programs if find(program.name)), None)

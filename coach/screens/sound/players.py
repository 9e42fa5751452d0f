"""The programs that can play a sound file or speak, and which of them to use."""

import os
import shutil
import sys
from collections.abc import Callable, Mapping
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from coach.model.profile import SoundSettings
from coach.system import IS_WINDOWS

Find = Callable[[str], str | None]
"""Returns the path of a program by its name, or None if it is not installed."""

NoVoice = Literal["silent", "remote", "no_program", "no_player", "failed", "no_language"]


class Command(Struct, frozen=True):
    """A command line, and the variables that are added to its environment."""

    line: tuple[str, ...]
    environment: tuple[tuple[str, str], ...] = ()


class Program(Struct, frozen=True):
    """A program and its arguments; `{file}`, `{words}`, `{language}` and `{voice}` are filled in.

    `environment` names variables that are set to one of these values, for text that must not be read as a command.
    """

    name: str
    arguments: tuple[str, ...]
    environment: tuple[tuple[str, str], ...] = ()

    def command(self, **values: str) -> Command:
        """The command with the values filled in."""
        line = (self.name, *(argument.format(**values) for argument in self.arguments))
        return Command(line, tuple((name, text.format(**values)) for name, text in self.environment))


class Voice(Struct, frozen=True):
    """How a program speaks: into a sound file, aloud, or both.

    `listing` is a command that lists its voices, a line for each with its language, for a program whose voices have
    names. `silence` is a command that ends what it says aloud, for a program that hands the text to a service.
    """

    to_file: Program | None
    aloud: Program | None
    listing: tuple[str, ...] = ()
    silence: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The name of the program."""
        program = self.to_file or self.aloud
        return program.name if program is not None else ""


# In order of preference: players for a sound server first, as they do not block other sound.
PLAYERS: tuple[Program, ...] = (
    Program("pw-play", ("{file}",)),
    Program("paplay", ("{file}",)),
    Program("aplay", ("-q", "{file}")),
    Program("afplay", ("{file}",)),
    Program("play", ("-q", "{file}")),
    Program("ffplay", ("-nodisp", "-autoexit", "-loglevel", "quiet", "{file}")),
)
# On Windows a file is played by the library of the interpreter itself, which starts sooner than a shell.
_WINSOUND = "import sys, winsound; winsound.PlaySound(sys.argv[1], winsound.SND_FILENAME)"
_WINDOWS_PLAYERS = (Program(sys.executable, ("-I", "-c", _WINSOUND, "{file}")),)
_SAPI = (
    "Add-Type -AssemblyName System.Speech; "
    "$s = New-Object System.Speech.Synthesis.SpeechSynthesizer; "
    "$s.SelectVoiceByHints(0, 0, 0, [cultureinfo]::GetCultureInfo($env:COACH_LANGUAGE)); "
    "$f = New-Object System.Speech.AudioFormat.SpeechAudioFormatInfo(22050, 16, 1); "
    "$s.SetOutputToWaveFile($env:COACH_FILE, $f); $s.Speak($env:COACH_WORDS); $s.Dispose()"
)
_SAPI_VALUES = (("COACH_LANGUAGE", "{language}"), ("COACH_FILE", "{file}"), ("COACH_WORDS", "{words}"))
_SAY_FORMAT = "--data-format=LEI16@22050"
# Those that write files first: the length of a file is known before it is played.
VOICES: tuple[Voice, ...] = (
    Voice(
        Program("espeak-ng", ("-v", "{language}", "-w", "{file}", "--", "{words}")),
        Program("espeak-ng", ("-v", "{language}", "--", "{words}")),
    ),
    Voice(
        Program("espeak", ("-v", "{language}", "-w", "{file}", "--", "{words}")),
        Program("espeak", ("-v", "{language}", "--", "{words}")),
    ),
    Voice(
        Program("say", ("-v", "{voice}", "-o", "{file}", "--file-format=WAVE", _SAY_FORMAT, "{words}")),
        None,
        listing=("say", "-v", "?"),
    ),
    Voice(
        Program("powershell", ("-NoProfile", "-NonInteractive", "-Command", _SAPI), _SAPI_VALUES),
        None,
    ),
    Voice(None, Program("spd-say", ("-w", "-l", "{language}", "--", "{words}")), silence=("spd-say", "-C")),
)


class SoundOutput(Struct, frozen=True):
    """How signals and words are made audible; any of it may be missing.

    `bell`: ring the bell if there is no player. `tones`, `voice_on`: what is wanted, where it can be had.
    `no_voice`: why nothing can be said. `speed`: how many seconds of the session pass while one second is heard.
    """

    player: Program | None = None
    voice: Voice | None = None
    bell: bool = False
    tones: bool = True
    voice_on: bool = False
    no_voice: NoVoice | None = None
    speed: float = 1.0


SILENCE = SoundOutput(tones=False, no_voice="silent")


def is_remote(environment: Mapping[str, str]) -> bool:
    """Whether the session runs over a remote shell, so that this machine's loudspeaker is not near the client."""
    return any(environment.get(name) for name in ("SSH_CONNECTION", "SSH_TTY"))


def detect_sound_output(settings: SoundSettings, silent: bool = False, terminal: bool = True) -> SoundOutput:
    """How signals are played on this machine; not at all if `silent`.

    Without a terminal the reader of the output may be far away: sound is used only if the profile allows it for
    pipes, and never the bell, which would add a control character to the output.
    """
    if silent or not (terminal or settings.piped):
        return SILENCE
    found = find_sound_output(settings, os.environ, shutil.which)
    return found if terminal else replace(found, bell=False)


def find_sound_output(settings: SoundSettings, environment: Mapping[str, str], find: Find) -> SoundOutput:
    """The first player and the first voice installed; the voice also where it is off, so that it can be switched on.

    Over a remote shell only the terminal's bell reaches the client.
    """
    wanted = settings.voice is not False
    if is_remote(environment):
        return SoundOutput(bell=settings.tones, tones=settings.tones, voice_on=wanted, no_voice="remote")
    players = _WINDOWS_PLAYERS if IS_WINDOWS else PLAYERS
    player = next((program for program in players if find(program.name)), None)
    voice, why = _find_voice(player, find)
    return SoundOutput(player, voice, settings.tones, settings.tones, wanted, why)


def _find_voice(player: Program | None, find: Find) -> tuple[Voice | None, NoVoice | None]:
    """The first voice that can be heard here: one that writes files needs a player for them."""
    installed = [voice for voice in VOICES if find(voice.name)]
    usable = [voice for voice in installed if voice.aloud is not None or player is not None]
    if usable:
        return usable[0], None
    return None, "no_player" if installed else "no_program"

"""Words made audible: lengths before they are said, and the command that says them."""

from collections.abc import Iterable, Sequence
from typing import Protocol

from coach.screens.sound.players import Command, NoVoice, Program, Voice

# Ours, from lines of this program said by one common synthesizer: about 15 characters a second, and a pause.
_CHARACTERS_A_SECOND, _PAUSE_S = 14.0, 0.4


class Speech(Protocol):
    """What can say words."""

    program: Program
    reads_pages: bool
    """Whether it can say any line; otherwise only what is recorded of a set."""

    @property
    def no_voice(self) -> NoVoice | None:
        """Why nothing can be said any more, or None."""

    def length_s(self, words: str) -> float | None:
        """How many seconds these words take; None while that is not known."""

    def command(self, words: str) -> Command | None:
        """The command that says words whose length is known; None for words that cannot be said."""

    def silence(self) -> Command | None:
        """A command that ends what is being said, where ending the program is not enough."""

    def prepare(self, lines: Iterable[str]) -> None:
        """Get ready to say these lines, in this order."""

    def close(self) -> None:
        """End what is still being prepared."""


class SpokenAloud:
    """Words said by a program that plays them itself, so that their length is only estimated."""

    reads_pages = True

    def __init__(self, voice: Voice, program: Program, language: str) -> None:
        self.program = program
        self.no_voice: NoVoice | None = None
        self._language = language
        self._silence = voice.silence

    def length_s(self, words: str) -> float:
        """An estimate from the number of characters."""
        return _PAUSE_S + len(words) / _CHARACTERS_A_SECOND

    def command(self, words: str) -> Command:
        """The command that says the words."""
        return self.program.command(words=words, language=self._language, file="", voice="")

    def silence(self) -> Command | None:
        """The command that ends what is being said, if the program needs one."""
        return Command(self._silence) if self._silence else None

    def prepare(self, lines: Iterable[str]) -> None:
        """Nothing has to be prepared."""

    def close(self) -> None:
        """Nothing is being prepared."""


def voice_name(listing: Sequence[str], language: str) -> str | None:
    """The first voice of a language in a listing such as `Anna   de_DE   # Hallo!`; None if there is none."""
    for line in listing:
        words = line.partition("#")[0].split()
        if len(words) > 1 and words[-1].partition("_")[0].partition("-")[0].casefold() == language:
            return " ".join(words[:-1])
    return None

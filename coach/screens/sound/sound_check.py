"""What this machine makes signals heard with, and a command's worth of trying it out."""

import os
import shutil
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import replace

from coach.model.message_format import fill
from coach.model.messages.session_screens import SignalName, SoundWords
from coach.model.profile import SoundSettings
from coach.screens.sound.players import SILENCE, Means, is_remote, means
from coach.screens.sound.sounder import Sounder
from coach.screens.sound.tones import TONES
from coach.session.signals import Signal
from coach.store.clock import now

# Long enough for each tone and word to end before the next.
_APART_S = 1.5


def means_here(settings: SoundSettings, silent: bool = False, terminal: bool = True) -> Means:
    """What is used on this machine; nothing at all where silence is asked for.

    Where nothing is shown on a terminal, somebody may be far away: only as the profile wants it, and never the bell,
    which would be a byte among the words.
    """
    if silent or not (terminal or settings.piped):
        return SILENCE
    found = means(settings, os.environ, shutil.which)
    return found if terminal else replace(found, bell=False)


def try_out(
    settings: SoundSettings,
    language: str,
    words: SoundWords,
    spoken: Mapping[SignalName, str],
    say: Callable[[str], None],
) -> None:
    """Say what plays the tones and what says the words, then let each of them be heard."""
    heard = means_here(settings)
    say(_who_plays(heard, settings, words))
    say(fill(words.voice, {"program": heard.voice.name}) if heard.voice else words.no_voice)
    sounder = Sounder(heard, spoken, language, ring, now)
    sounder.prepare()
    for name in TONES if heard != SILENCE else ():
        say(f"  {words.signal[name]}")
        sounder.sound([Signal(0.0, name)])
        time.sleep(_APART_S)
    for program in sounder.close():
        say(fill(words.failed, {"program": program.name}))


def _who_plays(heard: Means, settings: SoundSettings, words: SoundWords) -> str:
    if heard.player is not None:
        return fill(words.player, {"program": heard.player.name})
    if not settings.tones:
        return words.off
    return words.remote if is_remote(os.environ) else words.bell


def ring() -> None:
    """The bell of the terminal that the words go to."""
    sys.stdout.write("\a")
    sys.stdout.flush()

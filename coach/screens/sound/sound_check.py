"""Plays every signal as a check."""

import os
import sys
import time
from collections.abc import Callable

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.client import SoundMessages
from coach.model.profile import SoundSettings
from coach.screens.sound.players import SoundOutput, detect_sound_output, is_remote
from coach.screens.sound.sounder import Sounder, speech_for
from coach.screens.sound.spoken_lines import check_words
from coach.screens.sound.tones import TONES
from coach.session.signals import Signal
from coach.store.clock import now

# Long enough for each tone and word to end before the next one.
_APART_S = 1.5


def check_sound(
    settings: SoundSettings,
    language: str,
    content: Content,
    write: Callable[[str], None],
) -> None:
    """Write which programs play the tones and speak, then play every signal with its word."""
    messages, spoken = content.messages.client.sound, check_words(content)
    sound_output = detect_sound_output(settings)
    sounder = Sounder(sound_output, speech_for(sound_output, language), ring, now)
    write(_player_line(sound_output, settings, messages))
    write(_voice_line(sound_output, sounder, content))
    sounder.prepare(spoken.values())
    for name in TONES:
        write(f"  {messages.signal[name]}")
        sounder.sound([Signal(0.0, name)], spoken[name])
        until_s = now().s + _APART_S
        while now().s < until_s or sounder.wait_s is not None:
            sounder.advance()
            time.sleep(sounder.wait_s or _APART_S / 10)
    for program in sounder.close():
        write(fill(messages.failed, {"program": program.name}))


def _voice_line(sound_output: SoundOutput, sounder: Sounder, content: Content) -> str:
    messages = content.messages.client
    if sounder.no_voice is not None:
        return messages.voice.none[sounder.no_voice]
    if not sounder.speaks:
        return messages.sound.no_voice
    if sound_output.voice is None:
        return messages.voice.recorded
    return fill(messages.sound.voice, {"program": sound_output.voice.name})


def _player_line(sound_output: SoundOutput, settings: SoundSettings, messages: SoundMessages) -> str:
    if not settings.tones:
        return messages.off
    if sound_output.player is not None:
        return fill(messages.player, {"program": sound_output.player.name})
    return messages.remote if is_remote(os.environ) else messages.bell


def ring() -> None:
    """Ring the bell of the terminal on standard output."""
    sys.stdout.write("\a")
    sys.stdout.flush()

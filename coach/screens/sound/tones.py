"""The tones as sound files: quiet sine waves that are faded in and out."""

import io
import math
import wave
from array import array
from collections.abc import Mapping
from itertools import chain
from types import MappingProxyType

from msgspec import Struct

from coach.model.messages.client import SignalName

RATE_HZ = 22_050
# A fifth of full scale: audible in a quiet room without being loud. The volume is set on the machine.
LEVEL = 0.2
ATTACK_S, RELEASE_S = 0.012, 0.05
_FULL_SCALE = 32_767


class Note(Struct, frozen=True):
    """A pitch in hertz, and how long it lasts in seconds."""

    pitch_hz: float
    seconds: float


# Our choice: high for out and low for back. Signals that must not be missed have more than one note.
TONES: Mapping[SignalName, tuple[Note, ...]] = MappingProxyType(
    {
        "count": (Note(392.0, 0.07),),
        "out": (Note(659.3, 0.16),),
        "hold": (Note(523.3, 0.16),),
        "back": (Note(440.0, 0.16),),
        "relax": (Note(329.6, 0.16),),
        "last_repetition": (Note(659.3, 0.10), Note(880.0, 0.16)),
        "set_over": (Note(440.0, 0.14), Note(329.6, 0.24)),
        "rest_over": (Note(523.3, 0.12), Note(659.3, 0.12), Note(784.0, 0.24)),
    }
)


def tone_seconds(name: SignalName) -> float:
    """The length of the tone of a signal."""
    return sum(note.seconds for note in TONES[name])


def sound_file(notes: tuple[Note, ...]) -> bytes:
    """The notes one after the other as a WAV file with one channel of 16-bit samples."""
    samples = array("h", chain.from_iterable(_samples(note) for note in notes))
    data = io.BytesIO()
    with wave.open(data, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(samples.itemsize)
        file.setframerate(RATE_HZ)
        file.writeframes(samples.tobytes())
    return data.getvalue()


def _samples(note: Note) -> list[int]:
    count = round(note.seconds * RATE_HZ)
    turn = 2 * math.pi * note.pitch_hz / RATE_HZ
    return [round(_FULL_SCALE * LEVEL * _gain(number, count) * math.sin(turn * number)) for number in range(count)]


def _gain(number: int, count: int) -> float:
    """The gain of a sample, 0 to 1: raised-cosine fades at both ends, so that neither clicks."""
    up, down = number / (ATTACK_S * RATE_HZ), (count - 1 - number) / (RELEASE_S * RATE_HZ)
    return 0.5 - 0.5 * math.cos(math.pi * min(up, down, 1.0))

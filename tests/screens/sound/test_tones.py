"""Measurements of the tones: pitch, loudness and fades."""

import io
import wave
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import find_peaks, periodogram

from coach.model.messages.client import SignalName
from coach.screens.sound.tones import TONES, Note, sound_file


def read(data: bytes) -> tuple[int, NDArray[np.float64]]:
    """Rate in hertz, and the samples as parts of full scale."""
    with wave.open(io.BytesIO(data)) as file:
        assert (file.getnchannels(), file.getsampwidth()) == (1, 2)
        samples = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
        return file.getframerate(), samples / 32_768


NOTES = sorted({note for notes in TONES.values() for note in notes}, key=lambda note: (note.pitch_hz, note.seconds))


@pytest.mark.parametrize("note", NOTES)
def test_a_note_has_its_pitch_and_no_other(note: Note) -> None:
    rate, samples = read(sound_file((note,)))
    frequency, power = periodogram(samples, rate, nfft=1 << 17)
    assert frequency[power.argmax()] == pytest.approx(note.pitch_hz, abs=2.0)
    # A short sine has side lobes 13 dB below its peak; an overtone or a second note would be above that.
    loud, _ = find_peaks(power, height=power.max() / 10)
    assert len(loud) == 1
    assert len(samples) / rate == pytest.approx(note.seconds, abs=0.001)


@pytest.mark.parametrize("name", TONES)
def test_a_tone_is_quiet_and_begins_and_ends_softly(name: SignalName) -> None:
    _, samples = read(sound_file(TONES[name]))
    assert 0.1 < np.abs(samples).max() < 0.25
    assert np.abs(samples[[0, -1]]).max() == 0
    assert np.abs(np.diff(samples)).max() < 0.06  # a click is a jump


def test_each_phase_and_each_end_can_be_told_by_ear() -> None:
    phases = [TONES[name][0].pitch_hz for name in ("out", "hold", "back", "relax")]
    assert all(one / other > 1.1 for one, other in pairwise(phases))
    assert len(set(TONES.values())) == len(TONES)
    assert all(len(TONES[name]) > 1 for name in ("last_repetition", "set_over", "rest_over"))

"""Makes the recorded words: `python -m tests.screens.sound.record_words`, with espeak-ng installed.

Run it after a change of the words of a set. It says each part that the messages need, at a calm rate, and keeps it
without the silence around it, at 8 kHz in steps of 1/64, which makes smaller archives than all 8 bits.
"""

import subprocess
import tempfile
import wave
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import numpy as np
from numpy.typing import NDArray
from scipy.signal import resample_poly

from coach.content_files.content_folder import content_folder, load_content
from coach.screens.sound.recordings import RATE_HZ, archive_of, recorded_parts, wave_file

LANGUAGES = ("en", "de")
_WORDS_A_MINUTE = 160
# Of the loudest sample: what is quieter at either end is silence, and how loud the file is made.
_QUIET, _LOUDEST = 0.01, 0.8


def said(words: str, language: str) -> NDArray[np.float64]:
    """The words as the speech program says them, from -1 to 1 at the rate of the recordings."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "words.wav"
        rate = str(_WORDS_A_MINUTE)
        subprocess.run(["espeak-ng", "-v", language, "-s", rate, "-w", str(file), "--", words], check=True)
        with wave.open(str(file)) as made:
            samples = np.frombuffer(made.readframes(made.getnframes()), dtype="<i2").astype(float)
            made_hz = made.getframerate()
    (heard,) = np.nonzero(np.abs(samples) > _QUIET * np.abs(samples).max())
    small = resample_poly(samples[heard[0] : heard[-1] + 1], RATE_HZ, made_hz)
    loud: NDArray[np.float64] = small * _LOUDEST / np.abs(small).max()
    return loud


def write_recordings(language: str) -> Path:
    """Write the archive of a language, the same bytes for the same words and speech program."""
    archive = archive_of(language)
    with ZipFile(archive, "w", ZIP_DEFLATED, compresslevel=9) as files:
        for words in sorted(recorded_parts(load_content(content_folder(), language))):
            samples = (2 * np.round(said(words, language) * 63) + 128).astype(np.uint8).tobytes()
            entry = ZipInfo(f"{words}.wav", (1980, 1, 1, 0, 0, 0))
            entry.compress_type = ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            files.writestr(entry, wave_file(samples))
    return archive


if __name__ == "__main__":
    for one in LANGUAGES:
        made = write_recordings(one)
        print(f"{made}: {made.stat().st_size} bytes")

"""Recorded words, for machines that have a player and no speech program: those of a set, and no pages.

A line is put together from recordings of its words and of its numbers. One that is not recorded is not said.
"""

import hashlib
import io
import os
import re
import wave
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from itertools import chain
from pathlib import Path

from coach.model.content import Content
from coach.model.message_format import fill
from coach.screens.sound.players import Command, NoVoice, Program
from coach.screens.sound.tone_files import tone_folder
from coach.session.phrases import set_messages
from coach.toml.user_cache import private_folder

RATE_HZ = 8_000
_SILENCE = b"\x80"  # of 8-bit samples
_BETWEEN_S = 0.07
_NUMBER = re.compile(r"(\d+(?:[.,:/-]\d+)*)")
_AT_THE_ENDS = " .,:;!?"
# The longest set and count-in of common doses, second by second, then the seconds of a rest that are said.
_NUMBERS = (*range(1, 31), 45, 60, 75, 90, 120)
_ANY = 10  # a number that stands for all of them


def archive_of(language: str) -> Path:
    """The recordings of a language: a ZIP archive with a WAV file for each part, which is named by its words."""
    return Path(__file__).parent / "recordings" / f"{language}.zip"


def parts_of(line: str) -> tuple[str, ...]:
    """A line as the parts that are recorded: its numbers, and the words between them."""
    parts = (part.strip(_AT_THE_ENDS) for part in _NUMBER.split(line))
    return tuple(part for part in parts if part)


def recorded_parts(content: Content) -> frozenset[str]:
    """Every part of which there should be a recording, as the messages of this language say it."""
    lines = chain(map(str, _NUMBERS), _set_lines(content))
    return frozenset(chain.from_iterable(map(parts_of, lines)))


def _set_lines(content: Content) -> Iterator[str]:
    """What is said from the end of a rest to the end of a set, with one number for all of them."""
    client = content.messages.client
    values = {"seconds": _ANY, "repetition": _ANY}
    for out in {client.set.out, *(set_messages(content, name).out for name in content.messages.exercises)}:
        yield from (fill(text, {**values, "out": out}) for text in client.sound.spoken.values())
    yield from (fill(line, values) for line in (client.plain.rest_left, client.rest.take_place_left))
    yield from (client.voice.hurts, client.voice.hurts_underfoot, client.sound.set_over_underfoot)
    for exercise in content.messages.exercises.values():
        for position in exercise.position.values():
            yield position.first_cue
            yield from chain.from_iterable((cue.text, *cue.variants) for cue in position.cues)


class Recordings:
    """Says the lines that are recorded, by playing their parts as one file."""

    reads_pages = False

    def __init__(self, archive: Path, player: Program) -> None:
        self.program = player
        self.no_voice: NoVoice | None = None
        self._archive = archive

    @cached_property
    def _samples(self) -> Mapping[str, bytes]:
        return _samples_of(self._archive)

    def length_s(self, words: str) -> float:
        """The length of the line as it is played; 0 if it is not recorded."""
        return len(self._joined(words)) / RATE_HZ

    def command(self, words: str) -> Command | None:
        """The command that plays a line; None if it is not recorded, or its file cannot be written."""
        samples = self._joined(words)
        try:
            return self.program.command(file=str(_file_of(samples))) if samples else None
        except OSError:
            return None

    def silence(self) -> Command | None:
        """Nothing but ending the player is needed."""
        return None

    def prepare(self, lines: Iterable[str]) -> None:  # noqa: ARG002
        """Read the recordings; the lines are joined as they are needed."""
        _ = self._samples

    def close(self) -> None:
        """Nothing is being prepared."""

    def _joined(self, words: str) -> bytes:
        """The samples of a line, with a short silence between its parts; empty if a part is missing."""
        parts = [self._samples.get(part) for part in parts_of(words)]
        return b"" if None in parts else (_SILENCE * round(_BETWEEN_S * RATE_HZ)).join(part for part in parts if part)


def _file_of(samples: bytes) -> Path:
    """The file of a line, written if it is not there. Not flushed to the disk: the screen waits for it."""
    folder = private_folder(tone_folder(os.environ))
    file = folder / f"{hashlib.sha256(samples).hexdigest()[:32]}.wav"
    if not file.exists():
        half = file.with_suffix(f".{os.getpid()}.half")
        half.write_bytes(wave_file(samples))
        half.replace(file)
    return file


def wave_file(samples: bytes) -> bytes:
    """A WAV file with one channel of 8-bit samples."""
    data = io.BytesIO()
    with wave.open(data, "wb") as file:
        file.setparams((1, 1, RATE_HZ, 0, "NONE", ""))
        file.writeframes(samples)
    return data.getvalue()


def _samples_of(archive: Path) -> Mapping[str, bytes]:
    """The samples of each recorded part."""
    from zipfile import ZipFile  # not on the way to the first screen

    found: dict[str, bytes] = {}
    with ZipFile(archive) as files:
        for name in files.namelist():
            with wave.open(io.BytesIO(files.read(name))) as file:
                found[name.removesuffix(".wav")] = file.readframes(file.getnframes())
    return found

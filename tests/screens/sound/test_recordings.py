"""Recorded words: those of a set, where a machine has a player and no speech program."""

import io
import wave
from pathlib import Path
from zipfile import ZipFile

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.message_format import fill
from coach.model.profile import SoundSettings
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.screens.sound.players import VOICES, Command, SoundOutput, find_sound_output
from coach.screens.sound.recordings import RATE_HZ, Recordings, archive_of, parts_of, recorded_parts
from coach.screens.sound.sounder import speech_for
from coach.session.rehearsal import first_state
from coach.session.signals import Signal
from tests.clocks import START, FakeClock
from tests.demo.pristine import copy_pristine
from tests.screens.plain.output_lines import CLEAN_AFTER_SET, TO_THE_FIRST_SET
from tests.screens.sound.recorder import PLAYER, RecordedSpeech, Recorder
from tests.screens.sound.test_spoken_session import COUNT_IN_S, REPETITIONS, SETS, listened, opening_of

WITHOUT_PROGRAM = SoundOutput(PLAYER, voice_on=True, no_voice="no_program")


class ShippedWords(RecordedSpeech):
    """The shipped recordings, played by the machine that writes down what was said."""

    def __init__(self, language: str) -> None:
        super().__init__(reads_pages=False)
        self.shipped = Recordings(archive_of(language), PLAYER)

    def length_s(self, words: str) -> float | None:
        return self.shipped.length_s(words)

    def command(self, words: str) -> Command | None:
        return super().command(words) if self.shipped.command(words) else None


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_word_of_a_set_is_recorded_and_no_other(language: str) -> None:
    """If this fails, words have changed: `python -m tests.screens.sound.record_words`."""
    with ZipFile(archive_of(language)) as files:
        recorded = {name.removesuffix(".wav") for name in files.namelist()}
    assert recorded == recorded_parts(load_content(content_folder(), language))
    assert archive_of(language).stat().st_size < 400_000


def test_a_session_with_recordings_says_its_sets_and_no_page(tmp_path: Path) -> None:
    keys = (*TO_THE_FIRST_SET, *CLEAN_AFTER_SET * SETS, "5", "y")
    heard = listened(copy_pristine(tmp_path) / "tern", "de", keys, speech=ShippedWords("de"))
    client = heard.content.messages.client
    assert heard.finished
    assert heard.recorder.overlaps() == []
    assert not any(one.cut for one in heard.recorder.heard)
    outs = [fill(client.sound.spoken["out"], {"out": client.set.out, "repetition": n}) for n in range(1, REPETITIONS)]
    cue = heard.content.messages.exercises["external_rotation"].at("0").first_cue
    every_set = (*outs, "3", "2", "1", client.voice.hurts, cue, client.sound.spoken["set_over"])
    assert [(line, heard.said.count(line)) for line in every_set if heard.said.count(line) != SETS] == []
    assert heard.said.count(fill(client.sound.spoken["rest_over"], {"seconds": COUNT_IN_S})) == SETS - 1
    assert client.question["pain_now"].ask not in heard.said
    assert [line for line in heard.said if not set(parts_of(line)) <= recorded_parts(heard.content)] == []


def test_a_line_is_joined_from_its_parts_and_one_that_lacks_a_part_is_not_said() -> None:
    recordings = Recordings(archive_of("en"), PLAYER)
    command = recordings.command("Band ready: 10 seconds.")
    assert command is not None
    with wave.open(io.BytesIO(Path(command.line[-1]).read_bytes())) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (RATE_HZ, 1, 1)
        assert file.getnframes() / RATE_HZ == recordings.length_s("Band ready: 10 seconds.")
    parts = sum(recordings.length_s(part) for part in ("Band ready", "10", "seconds"))
    assert parts < recordings.length_s("Band ready: 10 seconds.") < parts + 0.5
    for line in ("Band ready: 3.5 seconds.", "Band ready: 61 seconds.", "Fix the band."):
        assert (recordings.command(line), recordings.length_s(line)) == (None, 0.0)


def test_a_signal_whose_words_are_not_recorded_keeps_its_tone() -> None:
    clock = FakeClock()
    recorder = Recorder(clock, WITHOUT_PROGRAM, ShippedWords("en"))
    recorder.sounder.prepare()
    for words in ("2, out", "2, sideways"):
        recorder.sounder.sound([Signal(clock.s, "out")], words)
        for _ in range(40):
            recorder.sounder.advance()
            clock.advance(0.1)
    assert [one.what for one in recorder.heard] == ["out", "2, out", "out"]


def test_recordings_are_used_where_no_program_speaks_and_a_player_is_there() -> None:
    found = find_sound_output(SoundSettings(), {}, lambda name: name if name == "aplay" else None)
    assert isinstance(speech_for(found, "de"), Recordings)
    assert speech_for(found, "fr") is None
    assert speech_for(SoundOutput(voice_on=True, no_voice="no_program"), "en") is None
    assert speech_for(SoundOutput(PLAYER, no_voice="remote"), "en") is None
    assert not isinstance(speech_for(SoundOutput(PLAYER, VOICES[0]), "en"), Recordings)


def test_it_says_once_that_pages_are_for_reading_and_again_when_one_is_to_be_heard(demo_profiles: Path) -> None:
    opening = opening_of(demo_profiles / "tern")
    recorder = Recorder(FakeClock(), WITHOUT_PROGRAM, ShippedWords("en"))
    announcer = recorder.announcer(opening)
    recorded = opening.plan.content.messages.client.voice.recorded
    assert [announcer.why_no_voice(), announcer.why_no_voice()] == [recorded, ""]
    state = first_state(opening.plan, START)
    page = page_at(state, SetupCache().of(state), 0.0)
    assert announcer.hear_again(page, state) == recorded
    announcer.advance()
    assert recorder.heard == []

"""Words as files: made once, in order, by a program that is never asked twice for the same line."""

import io
import os
import shutil
import stat
import wave
from collections.abc import Iterator
from pathlib import Path

import pytest

from coach.screens.sound.players import VOICES, Program, SoundOutput, Voice
from coach.screens.sound.sounder import speech_for
from coach.screens.sound.speech import SpokenAloud, voice_name
from coach.screens.sound.speech_files import SpeechFiles, seconds_of
from coach.toml.user_cache import cache_folder

PLAYER = Program("player", ("{file}",))


@pytest.fixture
def renderer(tmp_path: Path) -> Program:
    """A speech program that writes down what it was asked for, and makes half a second of silence."""
    data = io.BytesIO()
    with wave.open(data, "wb") as file:
        file.setparams((1, 2, 22_050, 0, "NONE", ""))
        file.writeframes(bytes(22_050))
    (tmp_path / "silence.wav").write_bytes(data.getvalue())
    script = tmp_path / "speaker"
    script.write_text(f'#!/bin/sh\necho "$1 $3" >> {tmp_path}/asked\ncp {tmp_path}/silence.wav "$2"\n')
    script.chmod(0o700)
    return Program(str(script), ("{language}", "{file}", "{words}"))


def made(renderer: Program, *lines: str, language: str = "en", voice: Voice | None = None) -> SpeechFiles:
    """The files of these lines, made in this thread: the session is over after the last."""
    files = SpeechFiles(voice or Voice(renderer, None), renderer, PLAYER, language)

    def until_over() -> Iterator[str]:
        yield from lines
        files._closed = True

    files._later = until_over()
    files._make_all()
    return files


def test_a_line_is_made_once_and_kept_for_the_next_session(renderer: Program, tmp_path: Path) -> None:
    asked = tmp_path / "asked"
    first = made(renderer, "hold", "back", "hold")
    assert asked.read_text().splitlines() == ["en hold", "en back"]
    assert first.length_s("hold") == pytest.approx(0.5)
    (file,) = first.command("hold").line[1:]
    assert Path(file).parent == cache_folder(os.environ) / "speech"
    assert stat.S_IMODE(Path(file).stat().st_mode) == 0o600
    assert "hold" not in Path(file).name  # what is said is nobody's business
    made(renderer, "hold", "back")
    assert len(asked.read_text().splitlines()) == 2
    made(renderer, "hold", language="de")
    assert asked.read_text().splitlines()[2:] == ["de hold"]


def test_deleted_files_are_made_again(renderer: Program, tmp_path: Path) -> None:
    made(renderer, "hold")
    shutil.rmtree(cache_folder(os.environ) / "speech")
    made(renderer, "hold")
    assert (tmp_path / "asked").read_text().splitlines() == ["en hold", "en hold"]


def test_files_of_setups_long_over_are_removed(renderer: Program) -> None:
    files = made(renderer, "hold", "back")
    (old,), (new,) = files.command("hold").line[1:], files.command("back").line[1:]
    os.utime(old, (0, 0))
    made(renderer)
    assert (Path(old).exists(), Path(new).exists()) == (False, True)


def test_a_line_asked_for_before_its_turn_is_made_next(renderer: Program, tmp_path: Path) -> None:
    files = SpeechFiles(Voice(renderer, None), renderer, PLAYER, "en")

    def asking() -> Iterator[str]:
        assert files.length_s("pressed") is None
        yield "first"
        yield "second"
        files._closed = True

    files._later = asking()
    files._make_all()
    assert (tmp_path / "asked").read_text().splitlines() == ["en first", "en pressed", "en second"]


def test_a_program_that_fails_leaves_no_file_and_no_voice(tmp_path: Path) -> None:
    script = tmp_path / "speaker"
    script.write_text('#!/bin/sh\necho half > "$2"\nexit 1\n')
    script.chmod(0o700)
    files = made(Program(str(script), ("x", "{file}")), "hold")
    assert files.no_voice == "failed"
    assert files.length_s("hold") is None
    assert list((cache_folder(os.environ) / "speech").iterdir()) == []
    assert made(Program(str(tmp_path / "nothing"), ()), "hold").no_voice == "failed"


def test_the_thread_ends_with_the_session(renderer: Program) -> None:
    files = SpeechFiles(Voice(renderer, None), renderer, PLAYER, "en")
    files.prepare(["hold"])
    files.close()
    assert not files._thread.is_alive()


LISTING = (
    "Anna                de_DE    # Hallo! Ich heisse Anna.",
    "Bad News   en_US    # A # B",
    "Thomas fr-CA # Bonjour",
)


def test_a_voice_of_the_language_is_chosen_from_a_listing_with_names_of_several_words() -> None:
    """The form that the macOS manual page of `say` shows for `-v '?'`; from memory, not read."""
    assert voice_name(LISTING, "de") == "Anna"
    assert voice_name(LISTING, "en") == "Bad News"
    assert voice_name(LISTING, "fr") == "Thomas"
    assert voice_name(LISTING, "it") is None


def test_without_a_voice_for_the_language_nothing_is_made(renderer: Program, tmp_path: Path) -> None:
    listing = tmp_path / "listing"
    listing.write_text("#!/bin/sh\necho 'Anna de_DE # Hallo'\n")
    listing.chmod(0o700)
    voice = Voice(renderer, None, listing=(str(listing),))
    assert made(renderer, "hold", voice=voice, language="en").no_voice == "no_language"
    assert made(renderer, "hold", voice=voice, language="de").no_voice is None


def test_a_header_that_cannot_be_read_is_measured_by_the_size(tmp_path: Path) -> None:
    """22 050 samples of two bytes a second after a header of 44 bytes."""
    file = tmp_path / "odd.wav"
    file.write_bytes(bytes(44 + 22_050))
    assert seconds_of(file) == pytest.approx(0.5)


def test_files_where_there_is_a_player_for_them_and_aloud_where_there_is_none() -> None:
    both, files_only = VOICES[0], Voice(PLAYER, None)
    assert isinstance(speech_for(SoundOutput(PLAYER, both), "en"), SpeechFiles)
    aloud = speech_for(SoundOutput(None, both), "en")
    assert isinstance(aloud, SpokenAloud)
    assert aloud.command("-hold").line == ("espeak-ng", "-v", "en", "--", "-hold")  # never taken for an option
    assert speech_for(SoundOutput(None, files_only), "en") is None
    assert speech_for(SoundOutput(PLAYER, None), "en") is None


def test_text_for_a_shell_goes_through_its_environment_only() -> None:
    windows = next(voice.to_file for voice in VOICES if voice.name == "powershell")
    assert windows is not None
    command = windows.command(words="'; rm x", language="de", file="a.wav", voice="")
    assert not any("rm x" in part for part in command.line)
    assert dict(command.environment) == {"COACH_WORDS": "'; rm x", "COACH_LANGUAGE": "de", "COACH_FILE": "a.wav"}


@pytest.mark.skipif(shutil.which("espeak-ng") is None, reason="no espeak-ng here")
def test_the_real_program_makes_a_file_of_the_length_it_says() -> None:
    program = VOICES[0].to_file
    assert program is not None
    files = made(program, "-hold", voice=VOICES[0])
    assert 0.3 < (files.length_s("-hold") or 0.0) < 1.5

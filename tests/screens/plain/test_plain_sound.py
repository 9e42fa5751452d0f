"""Sound in plain mode: the same signals as on screens, as far as the profile and the output allow."""

import io
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.profile import SoundSettings
from coach.screens.plain.plain_session import PlainSession
from coach.screens.plain.run_plain import PlainEnding
from coach.screens.sound.players import SILENCE, SoundOutput, detect_sound_output
from coach.screens.start import DisplayMode, run_session
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import FakeClock
from tests.screens.plain.output_lines import CLEAN_AFTER_SET, TO_THE_FIRST_SET, Typist
from tests.screens.sound.recorder import PLAYER, Recorder

REPETITION = ["out", "hold", "back", "relax"]


def test_each_signal_of_a_set_and_a_rest_is_heard_once(demo_profiles: Path) -> None:
    """20 s count-in, eight repetitions, a rest of 60 s; a pause in the second repetition is silent."""
    clock = FakeClock()
    recorder = Recorder(clock, SoundOutput(PLAYER))
    content = load_content(content_folder(), "en")
    client = ClientStore.read(demo_profiles / "tern", content)
    typist = Typist(clock, [*TO_THE_FIRST_SET, "", *CLEAN_AFTER_SET], {32.0: " "})

    opening = open_session(client, clock())
    PlainSession(content, opening, clock, typist, lambda _: None, announcer=recorder.announcer(opening)).run()
    heard = [one.what for one in recorder.heard]
    count = ["count"] * 19
    first, second = [*count, *REPETITION, "out"], [*count, *REPETITION * 6, "last_repetition", "hold", "back"]
    assert heard[: len(first) + len(second) + 2] == [*first, *second, "set_over", "rest_over"]


@pytest.fixture
def _a_player(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.which", lambda name: f"/usr/bin/{name}" if name in ("aplay", "say") else None)
    for name in ("SSH_CONNECTION", "SSH_TTY"):
        monkeypatch.delenv(name, raising=False)


@pytest.mark.usefixtures("_a_player")
def test_into_a_pipe_only_as_the_profile_wants_it_and_never_the_bell() -> None:
    assert detect_sound_output(SoundSettings(voice=True), terminal=False) == SILENCE
    wanted = detect_sound_output(SoundSettings(voice=True, piped=True), terminal=False)
    assert wanted == replace(detect_sound_output(SoundSettings(voice=True)), bell=False)
    assert wanted.player is not None
    quiet = detect_sound_output(SoundSettings(tones=False, voice=False, piped=True), terminal=False)
    assert (quiet.tones, quiet.voice_on, quiet.bell) == (False, False, False)
    assert detect_sound_output(SoundSettings(piped=True), silent=True, terminal=False) == SILENCE


@pytest.mark.usefixtures("_a_player")
@pytest.mark.parametrize(
    ("terminal", "silent", "heard"), [(True, False, True), (False, False, False), (True, True, False)]
)
def test_the_command_gives_the_plain_mode_its_sound(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, terminal: bool, silent: bool, heard: bool
) -> None:
    given: list[SoundOutput] = []

    def run_plain(*arguments: object) -> PlainEnding:
        assert isinstance(arguments[-1], SoundOutput)
        given.append(arguments[-1])
        return PlainEnding("")

    out = io.StringIO()
    monkeypatch.setattr(out, "isatty", lambda: terminal)
    monkeypatch.setattr("sys.stdout", out)
    monkeypatch.setattr("coach.screens.plain.run_plain.run_plain", run_plain)
    content = load_content(content_folder(), "en")
    client = ClientStore.read(demo_profiles / "tern", content)
    typist = Typist(FakeClock(), [])
    mode = DisplayMode(True, typist, silent=silent)
    run_session(content, open_session(client, FakeClock()()), mode)
    assert [one != SILENCE for one in given] == [heard]

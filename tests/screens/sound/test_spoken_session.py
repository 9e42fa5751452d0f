"""A whole session by ear: a listener who sees nothing hears everything that is needed, one sound after the other."""

import io
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot

from coach.content_files.content_folder import content_folder, load_content
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.client import SignalName
from coach.model.programme.session_file import FileEntry
from coach.screens.client.key_guard import KeyGuard
from coach.screens.client.session_app import SessionApp
from coach.screens.plain.line_input import EndOfInput
from coach.screens.plain.plain_session import PlainSession
from coach.screens.plain.run_plain import PlainEnding
from coach.screens.sound.players import SILENCE, NoVoice, SoundOutput
from coach.screens.sound.spoken_lines import as_spoken
from coach.screens.start import DisplayMode, run_session
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, go_on
from coach.session.script import Work
from coach.session.state import Instant, State
from coach.store.client_paths import SETTINGS
from coach.store.client_store import ClientStore
from coach.store.home_settings import HomeSettings, read_settings, save_settings
from coach.store.live_session import LiveSession, Opening, open_session, start_session
from coach.store.programme.opening import open_rehearsal
from coach.store.records.record_file import RecordAppender
from coach.store.therapist.check_client import check_profile
from tests.clocks import FakeClock
from tests.demo.pristine import copy_pristine
from tests.screens.plain.output_lines import CLEAN_AFTER_SET, TO_THE_FIRST_SET, Typist
from tests.screens.sound.recorder import PLAYER, RecordedSpeech, Recorder

SETS, REPETITIONS, COUNT_IN_S = 3, 8, 10
FIRST_COUNT_IN_S = 20
_SIGNS_AT = 4
# A key only where one is asked for: Enter to go on, and an answer. The warning signs are asked in three groups.
KEYS = (
    *TO_THE_FIRST_SET[:_SIGNS_AT],
    *("", ""),
    *TO_THE_FIRST_SET[_SIGNS_AT:],
    *CLEAN_AFTER_SET * SETS,
    *("5", "y"),
)


@dataclass
class ByEar:
    """A session that was listened to."""

    recorder: Recorder
    content: Content
    written: list[str]
    finished: bool
    folder: Path

    @property
    def said(self) -> list[str]:
        return [one.what for one in self.recorder.heard if one.spoken]


def opening_of(client: Path, language: str = "en") -> Opening:
    """Today's session of a client in a language."""
    content = load_content(content_folder(), language)
    return open_session(ClientStore.read(client, content), FakeClock()())


def listened(
    client: Path,
    language: str,
    keys: tuple[str, ...] = KEYS,
    timed: dict[float, str] | None = None,
    speech: RecordedSpeech | None = None,
) -> ByEar:
    """A session line by line with the voice on; each key is typed once everything has been said.

    `timed`: keys that are typed at their time, where time is running.
    """
    clock, opening, written = FakeClock(), opening_of(client, language), list[str]()
    recorder = Recorder(clock, speech=speech)
    typist = Typist(clock, keys, timed or {})
    announcer = recorder.announcer(opening)
    session = PlainSession(opening.plan.content, opening, clock, typist, written.append, announcer=announcer)
    return ByEar(recorder, opening.plan.content, written, session.run(), client)


@pytest.fixture(scope="module")
def by_ear(tmp_path_factory: pytest.TempPathFactory) -> dict[str, ByEar]:
    """The same session in each language."""
    folders = {language: copy_pristine(tmp_path_factory.mktemp(language) / "demo") for language in ("en", "de")}
    return {language: listened(folder / "tern", language) for language, folder in folders.items()}


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_whole_session_by_ear(by_ear: dict[str, ByEar], language: str, snapshot: SnapshotAssertion) -> None:
    heard = by_ear[language]
    assert heard.finished
    assert heard.recorder.overlaps() == []
    assert not any(one.cut for one in heard.recorder.heard)
    voice, spoken = heard.content.messages.client.voice, heard.content.messages.client.sound.spoken
    assert heard.said.count(voice.hurts) == SETS
    assert heard.said.count(spoken["set_over"]) == SETS
    assert heard.said.count(as_spoken(fill(spoken["rest_over"], {"seconds": COUNT_IN_S}), heard.content)) == SETS - 1
    out = heard.content.messages.client.set.out
    for number in range(1, REPETITIONS + 1):
        name: SignalName = "last_repetition" if number == REPETITIONS else "out"
        words = fill(spoken[name], {"out": out, "repetition": number})
        assert heard.said.count(words) == SETS, words
    first_cue = heard.content.messages.exercises["external_rotation"].at("0").first_cue
    assert heard.said.count(first_cue) == SETS
    for second in ("3", "2", "1"):
        assert heard.said.count(second) == SETS
    for question in ("blade", "elbow"):
        asked = heard.content.messages.form.question[question]
        assert sum(line.startswith(asked.ask) for line in heard.said) == SETS
    assert heard.recorder.transcript() == snapshot


def test_every_line_of_it_was_made_into_a_file_beforehand(by_ear: dict[str, ByEar]) -> None:
    heard = by_ear["en"]
    assert [line for line in heard.said if line not in heard.recorder.speech.prepared] == []
    assert heard.recorder.speech.prepared[0] == heard.said[0]


def test_the_seconds_of_a_rest_are_said_while_they_are_so(by_ear: dict[str, ByEar]) -> None:
    """Not after the lines of the page that were said meanwhile: sixty, and forty-five three seconds later."""
    heard, line = by_ear["en"].recorder.heard, by_ear["en"].content.messages.client.plain.rest_left
    lines = {as_spoken(fill(line, {"seconds": left}), by_ear["en"].content): left for left in (60, 45, 30, 15)}
    over = [one.begins_s for one in heard if one.what == "rest_over" and not one.spoken]
    said = [(lines[one.what], next(at for at in over if at > one.begins_s) - one.begins_s) for one in heard
            if one.what in lines]  # fmt: skip
    assert len(said) >= 2 * (SETS - 1)
    assert [(left, real) for left, real in said if abs(left - real) > 4.0] == []


def test_words_are_said_at_their_signal_and_the_tone_comes_first(by_ear: dict[str, ByEar]) -> None:
    """Out of the virtual clock: the word of a phase begins where its tone ends, within the phase."""
    heard = by_ear["en"].recorder.heard
    phases = ("out", "hold", "back", "relax")
    words = [(tone, word) for tone, word in pairwise(heard) if tone.what in phases and not tone.spoken]
    assert len(words) == SETS * (4 * REPETITIONS - 2)  # the last repetition has a tone of its own, and no relaxing
    assert all(word.spoken and word.begins_s == pytest.approx(tone.ends_s) for tone, word in words)


def test_a_line_cut_short_by_a_key_leaves_the_next_page_whole(demo_profiles: Path) -> None:
    """Keys that come while a page is being said: nothing overlaps, and the question after it is said."""
    clock, opening = FakeClock(), opening_of(demo_profiles / "tern")
    recorder = Recorder(clock)
    typist = Typist(clock, KEYS[2:], {1.0: "", 2.0: ""})
    PlainSession(
        opening.plan.content, opening, clock, typist, lambda _: None, announcer=recorder.announcer(opening)
    ).run()
    assert [one.cut for one in recorder.heard[:3]] == [True, True, False]
    assert recorder.overlaps() == []


def test_the_key_switches_the_voice_and_the_home_keeps_it(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    heard = listened(client, "en", ("v", "", "", "v", "0"))
    voice = heard.content.messages.client.voice
    assert voice.off in heard.written
    assert voice.on in heard.said
    assert read_settings(client) == HomeSettings(voice=True)
    question = heard.content.messages.client.question
    assert question["pain_now"].ask not in heard.said  # the page was shown while the voice was off
    assert question["relief"].ask in heard.said


def test_a_rehearsal_keeps_no_choice(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    opening, recorder = open_rehearsal(ClientStore.read(client), 1.0), Recorder(FakeClock())
    recorder.announcer(opening).switch_voice()
    assert not recorder.sounder.voice_on
    assert not (client / SETTINGS).exists()


def test_a_choice_that_cannot_be_kept_says_so_and_holds_for_now(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("coach.store.home_settings.replace_file", full)
    recorder = Recorder(FakeClock())
    line = recorder.announcer(opening_of(demo_profiles / "tern")).switch_voice()
    assert "no space left" in line.lower()
    assert not recorder.sounder.voice_on


def test_settings_that_cannot_be_read_stop_no_session_and_are_found_by_the_check(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    (client / SETTINGS).write_text('format = 1\nvoice = "loud"\n')
    (fault,) = check_profile(client, load_content(content_folder(), "en"))
    assert (fault.path.name, fault.line) == (SETTINGS, 2)
    assert outputs_of(client, plain=False)[0].voice_on
    save_settings(client, HomeSettings(voice=False))
    assert check_profile(client, load_content(content_folder(), "en")) == ()


def outputs_of(client: Path, plain: bool) -> list[SoundOutput]:
    """The sound that the command gives to a session of this client on a terminal with a voice."""
    given: list[SoundOutput] = []

    def run_plain(*arguments: object) -> PlainEnding:
        assert isinstance(arguments[-1], SoundOutput)
        given.append(arguments[-1])
        return PlainEnding("")

    with pytest.MonkeyPatch.context() as patch:
        out = io.StringIO()
        patch.setattr(out, "isatty", lambda: True)
        patch.setattr("sys.stdout", out)
        patch.setattr("shutil.which", lambda name: f"/usr/bin/{name}" if name in ("aplay", "espeak-ng") else None)
        patch.delenv("SSH_CONNECTION", raising=False)
        patch.delenv("SSH_TTY", raising=False)
        patch.setattr("coach.screens.plain.run_plain.run_plain", run_plain)
        patch.setattr(SessionApp, "__init__", lambda _, *arguments: given.append(arguments[3]()))
        patch.setattr(SessionApp, "run_to_end", lambda _: 0)
        patch.setattr(SessionApp, "unsaved", False)
        patch.setattr(SessionApp, "farewell", "")
        opening = opening_of(client)
        run_session(opening.plan.content, opening, DisplayMode(plain, Typist(FakeClock(), []) if plain else None))
    return given


@pytest.mark.parametrize(
    ("chosen", "in_profile", "on_screens", "line_by_line"),
    [
        (None, "", True, False),
        (False, "true", False, False),
        (True, "false", True, True),
        (None, "false", False, False),
    ],
)
def test_the_voice_is_on_unless_somebody_chose_otherwise(
    demo_profiles: Path, chosen: bool | None, in_profile: str, on_screens: bool, line_by_line: bool
) -> None:
    """Line by line it waits to be switched on, as a screen reader may be speaking there."""
    client = demo_profiles / "tern"
    profile = client / "profile.toml"
    if in_profile:
        kept = profile.read_text().replace("[sound]", "[replaced]")
        assert kept == profile.read_text()
        profile.write_text(f"{kept}\n[sound]\nvoice = {in_profile}\n")
    if chosen is not None:
        save_settings(client, HomeSettings(voice=chosen))
    assert outputs_of(client, plain=False)[0].voice_on is on_screens
    assert outputs_of(client, plain=True)[0].voice_on is line_by_line


@pytest.mark.parametrize("why", ["no_program", "no_player", "remote", "failed", "no_language"])
async def test_the_screen_says_once_why_there_is_no_voice(demo_profiles: Path, why: NoVoice) -> None:
    opening = opening_of(demo_profiles / "tern")
    app = SessionApp(opening.plan.content, opening, FakeClock(), partial(SoundOutput, voice_on=True, no_voice=why))
    async with app.run_test(size=(80, 24)) as pilot:
        await app._frame()
        line = opening.plan.content.messages.client.voice.none[why]
        assert app._key_note == line
        await pilot.press("enter")
        await app._frame()
        assert app._key_note == ""
        await pilot.press("v")
        assert app._key_note == line  # asked for, it is said again


async def test_a_session_started_without_sound_says_nothing_about_it(demo_profiles: Path) -> None:
    opening = opening_of(demo_profiles / "tern")
    app = SessionApp(opening.plan.content, opening, FakeClock(), lambda: SILENCE)
    async with app.run_test(size=(80, 24)):
        await app._frame()
        assert app._key_note == ""


async def test_on_screens_pages_notes_and_signals_go_through_the_same_queue(demo_profiles: Path) -> None:
    """The first pages, a number that may become longer, a key that is too early, and the voice switched off."""
    clock, wall, opening = FakeClock(), FakeClock(), opening_of(demo_profiles / "tern")
    app = SessionApp(
        opening.plan.content,
        opening,
        clock,
        partial(SoundOutput, PLAYER, voice_on=True),
        guard=KeyGuard(lambda: wall.s),
    )
    recorder = Recorder(clock)
    app._announcer.sounder = recorder.sounder
    messages = opening.plan.content.messages.client

    async def listen(pilot: Pilot[None], seconds: float) -> None:
        await pilot.pause()
        for _ in range(round(seconds / 0.5)):
            clock.advance(0.5)
            wall.advance(0.5)
            await app._frame()

    async with app.run_test(size=(80, 24)) as pilot:
        await listen(pilot, 70.0)
        assert [one.what for one in recorder.heard[:2]] == [messages.voice.go_on, app._page()[0].title]
        assert messages.voice.keys in [one.what for one in recorder.heard]
        await pilot.press("enter", "enter")  # the second is too early
        await listen(pilot, 4.0)
        assert recorder.heard[-1].what == messages.keys.too_soon
        await pilot.press("enter")
        await listen(pilot, 10.0)
        assert messages.question["pain_now"].ask in [one.what for one in recorder.heard]
        await pilot.press("1")
        await listen(pilot, 6.0)
        assert recorder.heard[-1].what == messages.keys.one_or_ten
        await pilot.press("v")
        await listen(pilot, 2.0)
        assert app._key_note == messages.voice.off
        assert read_settings(demo_profiles / "tern").voice is False
        before = len(recorder.heard)
        await pilot.press("2")
        await listen(pilot, 6.0)
        assert len(recorder.heard) == before
    assert recorder.overlaps() == []


def test_the_input_may_end_while_something_is_said(demo_profiles: Path) -> None:
    clock, opening = FakeClock(), opening_of(demo_profiles / "tern")
    recorder = Recorder(clock)

    class Gone:
        def line(self, _: float | None) -> str | None:
            raise EndOfInput

    session = PlainSession(
        opening.plan.content, opening, clock, Gone(), lambda _: None, announcer=recorder.announcer(opening)
    )
    assert not session.run()


def _answered(value: int | str, state: State, at: Instant) -> State:
    return answer(state, value, at)


def in_a_set(app: SessionApp, opening: Opening, clock: FakeClock) -> LiveSession:
    """The session of an app that does not run, at the first second of its first set."""
    live = app._live = start_session(opening, clock)
    while not isinstance(live.state.step, Work):
        question = live.state.question
        live.act(go_on if question is None else partial(_answered, clean_answer(question)))
    return live


async def test_a_tone_begins_before_its_page_is_drawn(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Drawing takes longer than everything else in a frame, most of all with other programs busy."""
    clock, opening = FakeClock(), opening_of(demo_profiles / "tern")
    app = SessionApp(opening.plan.content, opening, clock, partial(SoundOutput, PLAYER))
    recorder, at_a_page = Recorder(clock, SoundOutput(PLAYER)), list[str]()
    app._announcer.sounder = recorder.sounder
    recorder.sounder.prepare()
    live = in_a_set(app, opening, clock)

    async def draw() -> None:
        at_a_page.append(recorder.heard[-1].what if recorder.heard else "")

    monkeypatch.setattr(app, "_draw", draw)
    for _ in range(3):
        clock.advance(0.7)
        await app._pass_time(live)
    assert at_a_page == ["", "count", "count"]
    assert len(recorder.heard) == 2


async def test_the_end_of_a_set_is_heard_before_it_is_saved(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To flush a record takes half a second where the disk is busy."""
    clock, opening = FakeClock(), opening_of(demo_profiles / "tern")
    app = SessionApp(opening.plan.content, opening, clock, partial(SoundOutput, PLAYER))
    recorder, as_it_is_saved = Recorder(clock, SoundOutput(PLAYER)), list[str]()
    app._announcer.sounder = recorder.sounder
    recorder.sounder.prepare()
    live = in_a_set(app, opening, clock)
    append = RecordAppender.append

    def heard_before(appender: RecordAppender, entries: tuple[FileEntry, ...]) -> None:
        if entries:
            as_it_is_saved.append(recorder.heard[-1].what)
        append(appender, entries)

    monkeypatch.setattr(RecordAppender, "append", heard_before)
    while isinstance(live.state.step, Work):
        clock.advance(0.5)
        await app._pass_time(live)
    assert as_it_is_saved == ["set_over"]


async def test_no_frame_is_drawn_just_before_a_change(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The frame of the change comes on time then, and its tone."""
    clock, opening = FakeClock(), opening_of(demo_profiles / "tern")
    app, drawn_s = SessionApp(opening.plan.content, opening, clock), list[float]()
    began_s = in_a_set(app, opening, clock).now_s

    async def frame() -> None:
        drawn_s.append(clock.s - began_s)

    monkeypatch.setattr(app, "_frame", frame)
    app._wake_at_change()
    for at_s in (0.9, 0.97, 0.98, 0.999, 1.0, 1.01):
        clock.s = began_s + at_s
        await app._regular_frame()
    app._change.cancel()
    assert drawn_s == pytest.approx([0.9, 0.97, 1.0, 1.01])

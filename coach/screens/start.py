"""Chooses how a session is displayed, on screens or line by line, and runs it."""

import os
import sys
import time
from contextlib import nullcontext, suppress
from functools import partial
from threading import Thread
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from coach.model.content import Content, nothing
from coach.model.messages.layout_limits import LEAST_COLUMNS, LEAST_ROWS
from coach.model.no_session import NoSession
from coach.model.profile import SoundSettings
from coach.quick_imports import import_textual
from coach.screens.background import in_thread
from coach.screens.terminal import UnusableTerminal, is_terminal, screens_fit
from coach.store.clock import Clock, at_speed, now
from coach.store.home_settings import settings_in_use
from coach.store.live_session import Opening, SaveFailed, start_session

if TYPE_CHECKING:
    from coach.model.answers_file import Answers
    from coach.model.option_names import SignChoice, ThemeName
    from coach.screens.client.answer_player import AnswerPlayer
    from coach.screens.client.key_bindings import PlanAnswer
    from coach.screens.client.session_app import SessionApp
    from coach.screens.plain.line_input import KeyboardInput, LineSource
    from coach.screens.sound.players import SoundOutput


class DisplayMode(Struct, frozen=True):
    """How a session is displayed. `plain`: line by line instead of on screens, with input from `source`, if any."""

    plain: bool
    source: "LineSource | None" = None
    speed: float = 1.0
    silent: bool = False
    theme: "ThemeName | None" = None
    signs: "SignChoice | None" = None


class SessionOutcome(Struct, frozen=True):
    """How a session ended: the closing message and the exit code.

    `cut_off`: the input ended before the decision. `unsaved`: not all of the session is saved. `plan`: what the
    client said about their own plan at the end.
    """

    farewell: str = ""
    code: int = 0
    cut_off: bool = False
    unsaved: bool = False
    plan: "PlanAnswer" = ""


def choose_display(plain: bool, speed: float = 1.0, interactive: bool = True) -> DisplayMode:
    """Choose plain lines if asked for or if the terminal cannot draw screens, and screens otherwise.

    Args:
        plain: Line by line, whatever the terminal can do.
        speed: How many seconds of the session pass in one second.
        interactive: Whether answers are typed; False for a rehearsal with answers from a file.

    Raises:
        UnusableTerminal: There is no output, the window is too small, or answers are needed and cannot be typed.
    """
    if sys.stdout is None:
        raise UnusableTerminal("A session cannot be shown: its output is closed. Run it in a terminal or a pipe.")
    if plain or not is_terminal() or os.environ.get("TERM") == "dumb":
        return DisplayMode(True, _keyboard(speed) if interactive else None, speed)
    _require_size()
    return DisplayMode(False, None, speed)


def run_session(
    content: Content, opening: Opening, mode: DisplayMode, answers: "Answers | None" = None
) -> SessionOutcome:
    """Run a session to its end; `answers` are used instead of waiting for the client, where they have one."""
    if content.keep is not nothing:
        Thread(target=content.keep, name="keep_content").start()
    sound = _sound_settings(opening, mode.plain)
    clock = now if mode.speed == 1.0 else at_speed(now, mode.speed)
    answer_player = None
    if answers is not None:
        from coach.screens.client.answer_player import AnswerPlayer

        answer_player = AnswerPlayer(answers)
    if not mode.plain:
        app = _loaded_app(content, opening, clock, sound, mode, answer_player)
        code = app.run_to_end()
        return SessionOutcome(app.farewell, code, unsaved=app.unsaved, plan=app.plan_answer)
    from coach.screens.plain.line_input import NoInput
    from coach.screens.plain.run_plain import run_plain

    if mode.source is not None:
        sound_output = _sound_output(sound, mode, sys.stdout.isatty())
        ending = run_plain(content, opening, clock, mode.source, answer_player, sound_output)
    else:
        no_input = NoInput(now(), mode.speed)
        ending = run_plain(content, opening, no_input.clock, no_input, answer_player)
    return SessionOutcome(cut_off=ending.plan is None, unsaved=ending.unsaved, plan=ending.plan or "")


def _loaded_app(
    content: Content,
    opening: Opening,
    clock: Clock,
    sound: SoundSettings,
    mode: DisplayMode,
    answer_player: "AnswerPlayer | None",
) -> "SessionApp":
    """The app of a session; while its screens are loaded, the record of a new session reaches the disk.

    If they cannot be loaded, or Ctrl-C comes meanwhile, no record is left of a session that nobody saw.
    """
    begin = None
    beside = in_thread(partial(start_session, opening, clock)) if opening.interrupted is None else nullcontext(None)
    try:
        with beside as begin:
            import_textual()
            from coach.screens.client.key_guard import KeyGuard
            from coach.screens.client.session_app import SessionApp

            guard, sound_output = KeyGuard(time.monotonic), partial(_sound_output, sound, mode)
            return SessionApp(
                content, opening, clock, sound_output, mode.theme, answer_player, guard, mode.signs, begin
            )
    except BaseException:
        if begin is not None:
            with suppress(NoSession, SaveFailed, OSError):
                begin().discard()
        raise


def _sound_output(sound: SoundSettings, mode: DisplayMode, terminal: bool = True) -> "SoundOutput":
    """What makes sound on this machine: programs are looked for in many folders."""
    from coach.screens.sound.players import detect_sound_output

    return replace(detect_sound_output(sound, mode.silent, terminal), speed=mode.speed)


def _sound_settings(opening: Opening, plain: bool) -> SoundSettings:
    """What the profile says, unless the client chose otherwise at home.

    Without either the voice is on, but not line by line, where a screen reader may be speaking. A settings file that
    cannot be read changes nothing here; `coach check` reports it, and the next choice replaces it.
    """
    sound, chosen = opening.store.profile.sound, settings_in_use(opening.store.path).voice
    wanted = sound.voice if chosen is None else chosen
    return sound.model_copy(update={"voice": not plain if wanted is None else wanted})


def _require_size() -> None:
    size = os.get_terminal_size(sys.stdout.fileno())
    if not screens_fit(size.columns, size.lines):
        raise UnusableTerminal(
            f"This terminal is {size.columns} by {size.lines}. A session needs at least {LEAST_COLUMNS} by "
            f"{LEAST_ROWS}: make the window larger or the font smaller, or add --plain to have it line by line."
        )


def _keyboard(speed: float) -> "KeyboardInput":
    from coach.screens.plain.line_input import KeyboardInput

    if sys.stdin is not None and not sys.stdin.closed:
        source = KeyboardInput(sys.stdin.fileno(), speed)
        if not source.ended():
            return source
    raise UnusableTerminal(
        "A session needs answers, but nothing can be typed here: its input is closed or empty. "
        "Run it in a terminal, or send the keys through a pipe, one on each line. "
        "To read the session as text: coach preview PROFILE"
    )

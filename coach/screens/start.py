"""How a session can be shown here, on screens or line by line; and shows it so."""

import os
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

from coach.model.content import Content
from coach.model.layout_limits import LEAST_COLUMNS, LEAST_ROWS
from coach.screens.terminal import NotHere, is_terminal, screens_fit
from coach.store.clock import at_speed, now
from coach.store.live_session import Opening

if TYPE_CHECKING:
    from coach.model.answers_file import Answers
    from coach.model.theme_name import ThemeName
    from coach.screens.plain.line_input import Keyboard


@dataclass(frozen=True)
class Way:
    """On screens, or in lines; `typed` is where lines come from, None where nobody is to type."""

    lines: bool
    typed: "Keyboard | None" = None
    speed: float = 1.0
    silent: bool = False
    theme: "ThemeName | None" = None


@dataclass(frozen=True)
class Ending:
    """How it ended: what is said at last, and an exit code asked for from outside."""

    farewell: str = ""
    code: int = 0
    cut_off: bool = False


def way_here(plain: bool, speed: float = 1.0, somebody: bool = True) -> Way:
    """The way that fits: lines where they are asked for, and where there is no terminal that can show screens.

    NotHere where neither fits, or where somebody is to type and cannot.
    """
    if sys.stdout is None:
        raise NotHere("A session has nowhere to be shown: its output is closed. Run it in a terminal or a pipe.")
    if plain or not is_terminal() or os.environ.get("TERM") == "dumb":
        return Way(True, _keyboard(speed) if somebody else None, speed)
    _screens_fit()
    return Way(False, None, speed)


def show(content: Content, opening: Opening, way: Way, answers: "Answers | None" = None) -> Ending:
    """Go through a session to its end, by hand or with answers from a file."""
    from coach.screens.client.answer_player import Prompter
    from coach.screens.sound.sound_check import means_here

    sound = opening.folder.profile.sound
    clock = now if way.speed == 1.0 else at_speed(now, way.speed)
    prompter = Prompter(answers) if answers is not None else None
    if not way.lines:
        from coach.screens.client.session_app import SessionApp

        heard = means_here(sound, way.silent)
        app = SessionApp(content, opening, clock, heard, way.theme, prompter)
        code = app.go()
        return Ending(app.farewell, code)
    from coach.screens.plain.line_input import Nobody
    from coach.screens.plain.run_plain import tell

    if way.typed is not None:
        heard = means_here(sound, way.silent, sys.stdout.isatty())
        return Ending(cut_off=not tell(content, opening, clock, way.typed, prompter, heard))
    nobody = Nobody(now(), way.speed)
    return Ending(cut_off=not tell(content, opening, nobody.clock, nobody, prompter))


def _screens_fit() -> None:
    size = os.get_terminal_size(sys.stdout.fileno())
    if not screens_fit(size.columns, size.lines):
        raise NotHere(
            f"This terminal is {size.columns} by {size.lines}. A session needs at least {LEAST_COLUMNS} by "
            f"{LEAST_ROWS}: make the window larger, or the letters smaller, or add --plain to have it line by line."
        )


def _keyboard(speed: float) -> "Keyboard":
    from coach.screens.plain.line_input import Keyboard

    if sys.stdin is not None and not sys.stdin.closed:
        typed = Keyboard(sys.stdin.fileno(), speed)
        if not typed.ended():
            return typed
    raise NotHere(
        "A session asks and needs answers, and nothing can be typed here: its input is closed or empty. "
        "Run it in a terminal, or send the keys through a pipe, one a line. As text: coach preview PROFILE"
    )

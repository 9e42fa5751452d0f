"""Runs a plain session on standard output, and reports however it ends."""

import os
import shutil
import sys
import time
from contextlib import suppress
from textwrap import wrap
from typing import NamedTuple

from coach.model.content import Content
from coach.screens.client.answer_player import AnswerPlayer
from coach.screens.client.key_bindings import PlanAnswer
from coach.screens.client.key_guard import KeyGuard
from coach.screens.client.setup_context import SetupCache
from coach.screens.plain.line_input import KeyboardInput, LineSource
from coach.screens.plain.plain_session import PlainSession
from coach.screens.sound.announcer import announcer_for
from coach.screens.sound.players import SILENCE, SoundOutput
from coach.screens.sound.sound_check import ring
from coach.store.clock import Clock
from coach.store.live_session import Opening
from coach.system import is_reader_gone, open_bytes

# In narrower terminals lines are left for the terminal to break.
_NARROWEST = 20


class PlainEnding(NamedTuple):
    """How a session ended: what the client said about their own plan, None if it ended before its decision.

    `unsaved`: not all of it is saved.
    """

    plan: PlanAnswer | None
    unsaved: bool = False


def run_plain(
    content: Content,
    opening: Opening,
    clock: Clock,
    source: LineSource,
    answer_player: AnswerPlayer | None = None,
    sound_output: SoundOutput = SILENCE,
) -> PlainEnding:
    """Run a session line by line, with the same sounds as on screens.

    Raises:
        KeyboardInterrupt: Ctrl-C was pressed; a line on what is kept has been written.
    """
    announcer = announcer_for(opening, sound_output, ring, clock, SetupCache())
    announcer.prepare(clock().at)
    why = announcer.why_no_voice()
    if why:
        _write(why)
    # Lines from a pipe or a file are there before the questions; only a person at a keyboard can be too early.
    guard = KeyGuard(time.monotonic) if isinstance(source, KeyboardInput) and sys.stdin.isatty() else None
    session = PlainSession(content, opening, clock, source, _write, answer_player, announcer, guard)
    try:
        reached = session.run()
        return PlainEnding(session.plan_answer if reached else None, session.unsaved)
    except KeyboardInterrupt:
        with suppress(OSError):
            _write("")
            _write(session.farewell)
        raise
    except OSError as error:
        if not is_reader_gone(error):
            raise
        # Discard the rest of it, and report on standard error.
        os.dup2(open_bytes(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        print(session.farewell, file=sys.stderr)
        return PlainEnding(None, session.unsaved)
    finally:
        announcer.sounder.close()


def _write(line: str) -> None:
    """Print a line; on a terminal, wrapped between words if it is too long for one row."""
    columns = shutil.get_terminal_size().columns if sys.stdout.isatty() else 0
    for row in wrap(line, columns - 1) if len(line) >= columns > _NARROWEST else [line]:
        print(row, flush=True)

"""Starts and ends the plain mode: lines go out as they come, and however it ends, that is said."""

import os
import shutil
import sys
from contextlib import suppress
from textwrap import wrap

from coach.model.content import Content
from coach.screens.client.answer_player import Prompter
from coach.screens.plain.line_input import Lines
from coach.screens.plain.plain_session import PlainSession
from coach.screens.sound.players import SILENCE, Means
from coach.screens.sound.sound_check import ring
from coach.screens.sound.sounder import Sounder
from coach.session.set_words import set_words, spoken
from coach.store.clock import Clock
from coach.store.live_session import Opening

# Below this a terminal breaks its lines itself.
_NARROWEST = 20


def tell(
    content: Content,
    opening: Opening,
    clock: Clock,
    typed: Lines,
    prompter: Prompter | None = None,
    heard: Means = SILENCE,
) -> bool:
    """A session line by line, its signals heard as on the screens; False where it ended before its decision.

    KeyboardInterrupt after having said what is kept.
    """
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    words = content.words.screens
    kept = words.rehearsal.saved if opening.plan.rehearsal else words.offer.kept
    said_aloud = spoken(words.sound, set_words(content, opening.plan.before.exercise))
    sounder = Sounder(heard, said_aloud, opening.folder.profile.language, ring, clock)
    sounder.prepare()
    try:
        return PlainSession(content, opening, clock, typed, _write, prompter, sounder.sound).run()
    except KeyboardInterrupt:
        with suppress(BrokenPipeError):
            _write("")
            _write(kept)
        raise
    except BrokenPipeError:
        # Whoever read our output has gone: what is left of it goes nowhere, and the word goes the other way.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        print(kept, file=sys.stderr)
        return False
    finally:
        sounder.close()


def _write(line: str) -> None:
    """A line as it is; on a terminal broken between words where it is too long for one row."""
    columns = shutil.get_terminal_size().columns if sys.stdout.isatty() else 0
    for row in wrap(line, columns - 1) if len(line) >= columns > _NARROWEST else [line]:
        print(row, flush=True)

"""Whether there is a terminal, whether screens fit in it, and what to do once it is gone."""

import os
import sys

from coach.model.messages.layout_limits import LEAST_COLUMNS, LEAST_ROWS
from coach.system import end_without_terminal


class UnusableTerminal(Exception):
    """The terminal is too small, there is none, or nothing can be typed; the message says which."""


def is_terminal() -> bool:
    """Whether both standard input and standard output are a terminal."""
    return all(stream is not None and not stream.closed and stream.isatty() for stream in (sys.stdin, sys.stdout))


def shows_screens() -> bool:
    """Whether screens can be drawn: on a terminal that can position the cursor and is large enough."""
    if not is_terminal() or os.environ.get("TERM") == "dumb":
        return False
    return screens_fit(*os.get_terminal_size(sys.stdout.fileno()))


def require_screens(refusal: str) -> None:
    """Raise UnusableTerminal with the message `refusal` if screens cannot be drawn."""
    if not shows_screens():
        raise UnusableTerminal(refusal)


def screens_fit(columns: int, rows: int) -> bool:
    """Whether a screen fits in so many columns and rows."""
    return columns >= LEAST_COLUMNS and rows >= LEAST_ROWS


def exit_if_terminal_gone() -> None:
    """End the process at once: the thread that reads keys would spin forever on a closed terminal."""
    if is_terminal():
        return
    end_without_terminal()

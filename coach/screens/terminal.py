"""The terminal that screens are shown on: whether there is one, whether they fit, and what to do once it is gone."""

import os
import signal
import sys

from coach.model.layout_limits import LEAST_COLUMNS, LEAST_ROWS


class NotHere(Exception):
    """No screens can be shown here, and why: the terminal is too small, or nothing can be typed."""


def is_terminal() -> bool:
    """Whether keys come from a terminal and pages go to one."""
    return all(stream is not None and not stream.closed and stream.isatty() for stream in (sys.stdin, sys.stdout))


def shows_screens() -> bool:
    """Whether screens can be drawn and seen: a terminal that can place its letters, and is large enough."""
    if not is_terminal() or os.environ.get("TERM") == "dumb":
        return False
    return screens_fit(*os.get_terminal_size(sys.stdout.fileno()))


def require_screens(refusal: str) -> None:
    """NotHere with these words where screens cannot be shown."""
    if not shows_screens():
        raise NotHere(refusal)


def screens_fit(columns: int, rows: int) -> bool:
    """Whether a page of a screen has room in so many columns and rows."""
    return columns >= LEAST_COLUMNS and rows >= LEAST_ROWS


def leave_if_the_terminal_is_gone() -> None:
    """Leave at once: the thread that reads keys would wait for a closed terminal for ever, at full speed."""
    if is_terminal():
        return
    if sys.platform == "win32":
        os._exit(1)
    os._exit(128 + signal.SIGHUP)

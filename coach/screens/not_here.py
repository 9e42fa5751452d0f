"""The word that screens cannot be shown here."""

import sys


class NotHere(Exception):
    """No screens can be shown here, and why: the terminal is too small, or nothing can be typed."""


def require_terminal(refusal: str) -> None:
    """NotHere with these words where keys cannot be read or screens cannot be shown."""
    if not all(stream is not None and not stream.closed and stream.isatty() for stream in (sys.stdin, sys.stdout)):
        raise NotHere(refusal)

"""Python's looking for objects that nobody holds any more: not while a command starts, and never long in a set.

A start makes a great many objects that live to its end; looking through them again and again was a sixth of the time
to the first screen. Left as it was then, one look in the middle of a set would stand still for two frames.
"""

import gc

_USUAL = gc.get_threshold()
_PUT_OFF = 1_000_000  # objects between two looks; no start makes so many


def put_off_tidying() -> None:
    """From the start of a command."""
    gc.set_threshold(_PUT_OFF)


def tidy_again() -> None:
    """From the first screen on, in short turns that leave out what the start made. Nothing if none was put off."""
    if gc.get_threshold()[0] == _PUT_OFF:
        gc.freeze()
        gc.set_threshold(*_USUAL)

"""Where the lines of the plain mode come from: what somebody types, or nobody at all in a rehearsal from a file."""

import os
import select
import time
from datetime import timedelta
from typing import Protocol

from coach.session.rehearsal import whole_ms
from coach.session.state import Present

# Longer than any answer; what is typed beyond it is taken as a line of its own.
_LONGEST = 4096


class EndOfInput(Exception):
    """Nothing more will be typed."""


class Lines(Protocol):
    """One line after another."""

    def line(self, within_s: float | None) -> str | None:
        """The next line; None where none came within so many seconds of the session. EndOfInput after the last."""


class Keyboard:
    """Lines typed on a terminal or sent through a pipe; waits for them without spinning."""

    def __init__(self, handle: int, speed: float = 1.0) -> None:
        self._handle = handle
        self._speed = speed
        self._held = b""
        self._ended = False

    def line(self, within_s: float | None) -> str | None:
        """The next line without its end; None where none came in time. EndOfInput after the last."""
        if b"\n" not in self._held and not self._ended:
            self._read(None if within_s is None else within_s / self._speed)
        if b"\n" in self._held[:_LONGEST]:
            line, _, self._held = self._held.partition(b"\n")
        elif len(self._held) >= _LONGEST or (self._ended and self._held):
            line, self._held = self._held[:_LONGEST], self._held[_LONGEST:]
        elif self._ended:
            raise EndOfInput
        else:
            return None
        return line.decode("utf-8", errors="replace").removesuffix("\r")

    def ended(self) -> bool:
        """Whether there is nothing to be typed from the start: a closed or an empty input."""
        if not self._held and not self._ended:
            try:
                self._read(0.0)
            except OSError:
                self._ended = True
        return self._ended and not self._held

    def _read(self, timeout_s: float | None) -> None:
        ready, _, _ = select.select([self._handle], [], [], timeout_s)
        if ready:
            came = os.read(self._handle, _LONGEST)
            self._held += came
            self._ended = not came


class Nobody:
    """No line ever: time passes as fast as it is asked to, by whole milliseconds, the same on every machine."""

    def __init__(self, start: Present, speed: float) -> None:
        self._start = start
        self._speed = speed
        self._gone_s = 0.0

    def clock(self) -> Present:
        """The present of a session that nobody holds up."""
        gone = timedelta(seconds=round(self._gone_s))
        return Present(self._start.s + self._gone_s, self._start.at + gone)

    def line(self, within_s: float | None) -> str | None:
        """Let so much time pass. EndOfInput where a line would have to come."""
        if within_s is None:
            raise EndOfInput
        time.sleep(within_s / self._speed)
        self._gone_s = whole_ms(self._gone_s + within_s)
        return None

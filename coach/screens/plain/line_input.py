"""Where the lines of a plain session come from: the keyboard or a pipe, or nowhere in a rehearsal from a file."""

import time
from datetime import timedelta
from typing import Protocol

from coach.session.rehearsal import rounded_up_to_ms
from coach.session.state import Instant
from coach.system import reader_of

# Bytes; longer than any answer. Input beyond this is taken as a new line.
_MAX_BYTES = 4096


class EndOfInput(Exception):
    """There is no more input."""


class LineSource(Protocol):
    """A source of lines."""

    def line(self, within_s: float | None) -> str | None:
        """The next line, or None if none came within so many seconds of session time.

        Raises:
            EndOfInput: There are no more lines.
        """


def ask_line(source: LineSource | None, question: str) -> str:
    """Ask for a line from the source of a session, or of the terminal where it has none. Raises EOFError.

    Whoever reads beside a source of lines misses those that it has read already, or that its thread waits for.
    """
    if source is None:
        return input(question)
    print(question, end="", flush=True)
    try:
        while (line := source.line(None)) is None:
            pass  # a part of a line came
    except EndOfInput:
        raise EOFError from None
    return line


class KeyboardInput:
    """Lines typed on a terminal or sent through a pipe, read without busy waiting."""

    def __init__(self, handle: int, speed: float = 1.0) -> None:
        self._read_within = reader_of(handle, _MAX_BYTES)
        self._speed = speed
        self._buffer = b""
        self._ended = False

    def line(self, within_s: float | None) -> str | None:
        """The next line without its line ending; see LineSource."""
        if b"\n" not in self._buffer and not self._ended:
            self._read(None if within_s is None else within_s / self._speed)
        if b"\n" in self._buffer[:_MAX_BYTES]:
            line, _, self._buffer = self._buffer.partition(b"\n")
        elif len(self._buffer) >= _MAX_BYTES or (self._ended and self._buffer):
            line, self._buffer = self._buffer[:_MAX_BYTES], self._buffer[_MAX_BYTES:]
        elif self._ended:
            raise EndOfInput
        else:
            return None
        return line.decode("utf-8", errors="replace").removesuffix("\r")

    def ended(self) -> bool:
        """Whether there is no input at all: it is closed or empty."""
        if not self._buffer and not self._ended:
            try:
                self._read(0.0)
            except OSError:
                self._ended = True
        return self._ended and not self._buffer

    def _read(self, timeout_s: float | None) -> None:
        chunk = self._read_within(timeout_s)
        if chunk is not None:
            self._buffer += chunk
            self._ended = not chunk


class NoInput:
    """A source without lines, and its clock.

    Time passes at the given speed, in whole milliseconds, so that a rehearsal is the same on every machine.
    """

    def __init__(self, start: Instant, speed: float) -> None:
        self._start = start
        self._speed = speed
        self._elapsed_s = 0.0

    def clock(self) -> Instant:
        """The current time of the session."""
        elapsed = timedelta(seconds=round(self._elapsed_s))
        return Instant(self._start.s + self._elapsed_s, self._start.at + elapsed)

    def line(self, within_s: float | None) -> str | None:
        """Let so many seconds of session time pass; see LineSource."""
        if within_s is None:
            raise EndOfInput
        time.sleep(within_s / self._speed)
        self._elapsed_s = rounded_up_to_ms(self._elapsed_s + within_s)
        return None

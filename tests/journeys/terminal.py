"""A program in a real terminal of a given size, with its screen as text."""

import os
import select
import signal
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

import pexpect
import pyte

from coach.screens.client.key_guard import SETTLE_S

_KEYS = {"enter": "\r", "space": " ", "ctrl+c": "\x03"}
_PATIENCE_S = 20.0
# A little more than the time in which a page takes no key, and how long the effect of one is waited for.
_READ_S, _TOO_SOON_S = SETTLE_S + 0.1, 1.2
_NEVER_SHOWN = "\0"
_COUNT_AT_ONCE = ("p", "q", "ctrl+c")


def _as_at_a_keyboard() -> None:
    """Ctrl-C ends a command: tests that run in the background hand on that it is ignored."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    signal.pthread_sigmask(signal.SIG_SETMASK, [])


class Terminal:
    """Starts a program; `shows` waits until a text is on the screen, `press` sends a key."""

    def __init__(
        self,
        command: Sequence[str],
        cwd: Path,
        columns: int = 80,
        rows: int = 24,
        env: Mapping[str, str] | None = None,
    ) -> None:
        self._screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._screen)
        ours = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
        environment = {**ours, "TERM": "xterm-256color", **(env or {})}
        self.child = pexpect.spawn(
            command[0],
            list(command[1:]),
            cwd=str(cwd),
            env=environment,
            dimensions=(rows, columns),
            timeout=_PATIENCE_S,
            preexec_fn=_as_at_a_keyboard,
        )

    @property
    def text(self) -> str:
        """The screen as it is, its lines joined."""
        return "\n".join(self._screen.display)

    def shows(self, text: str) -> None:
        """Read until the text is on the screen; AssertionError with the screen if it never is."""
        self._waits_for(text, _PATIENCE_S)

    def _waits_for(self, text: str, patience_s: float) -> None:
        until = time.monotonic() + patience_s
        while text not in " ".join(self.text.split()):
            try:
                self._stream.feed(self.child.read_nonblocking(65536, timeout=max(0.01, until - time.monotonic())))
            except (pexpect.TIMEOUT, pexpect.EOF) as error:
                raise AssertionError(f"{text!r} is not on the screen:\n{self.text}") from error

    def press(self, key: str, then: str) -> None:
        """Send one key, or a line, and wait for what it brings; one that came too soon is sent again."""
        until = time.monotonic() + _PATIENCE_S
        if key not in _COUNT_AT_ONCE and not key.endswith("\n"):
            self._reads_the_page()
        while time.monotonic() < until:
            self.child.send(_KEYS.get(key, key))
            with suppress(AssertionError):
                return self._waits_for(then, _TOO_SOON_S)
        raise AssertionError(f"{key!r} does not bring {then!r}:\n{self.text}")

    def _reads_the_page(self) -> None:
        """Take as long as a person before a key, so that it is not too soon."""
        with suppress(AssertionError):
            self._waits_for(_NEVER_SHOWN, _READ_S)

    def ends_by(self, key: str) -> int:
        """Send one key until the program has ended; the exit code."""
        until = time.monotonic() + _PATIENCE_S
        while time.monotonic() < until and self.child.isalive():
            self.child.send(_KEYS.get(key, key))
            with suppress(AssertionError):
                self._waits_for(_NEVER_SHOWN, _TOO_SOON_S)
        return self.ends()

    def ends(self) -> int:
        """Read to the end; the exit code."""
        try:
            while True:
                self._stream.feed(self.child.read_nonblocking(65536, timeout=_PATIENCE_S))
        except pexpect.EOF:
            self.child.close()
        return int(self.child.exitstatus if self.child.exitstatus is not None else -(self.child.signalstatus or 0))

    def kill(self, number: int) -> int:
        """Send a signal and read to the end; the exit code, or the signal's number below zero."""
        self.child.kill(number)
        return self.ends()

    def vanish(self) -> bool:
        """Close the terminal as if its window were closed; whether the program has ended then."""
        os.close(self.child.child_fd)
        for _ in range(200):
            if os.waitpid(self.child.pid, os.WNOHANG)[0]:
                return True
            select.select([], [], [], 0.05)
        os.kill(self.child.pid, signal.SIGKILL)
        return False

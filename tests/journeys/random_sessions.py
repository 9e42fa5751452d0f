"""Sessions of random keys in real terminals, sped up: `python -m tests.journeys.random_sessions --times 1000`.

Each is `coach session` on a pseudo-terminal of its own, in a process forked from one that has read all modules and
the content. Time goes 25 times as fast, for the session and for the guard against early keys. Keys come one by
one, in bursts and pasted, and the window changes its size. At the end Ctrl-C is pressed until the program has ended.

A fault is another exit code than those of a session, a program that does not end, and a client's folder that cannot
be read afterwards. The seeds of the faults are printed, with the last that was on the terminal.
"""

import argparse
import fcntl
import gc
import os
import pty
import random
import select
import shutil
import signal
import struct
import sys
import tempfile
import termios
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import coach.cli
import coach.content_files.content_folder
import coach.screens.client.session_app
import coach.screens.start
import coach.store.clock
from coach.screens.client import key_guard
from coach.store.client_folder import read_client_folder
from coach.store.clock import at_speed
from coach.toml.diagnostic import FileFault
from tests.demo.pristine import copy_pristine
from tests.faults.driven import shipped

SPEED = 25.0
_CLIENTS = ("tern", "plover", "heron", "curlew")
_SIZES = ((80, 24), (120, 40), (100, 30), (60, 20))
# Ended, not now, kept by Ctrl-C; a window that is too small is a fault of who made it so.
_FINE = (0, 3, 4, 130)
_PATIENCE_S = 30.0
_LIKELY = ["\r"] * 10 + [" "] * 6 + list("00112yyyn")
_OTHERS = [
    *("0123456789abcdefghijklmnoprstuvwxyzJNYPX?q"), "\x1b", "\t", "\x7f", "\x03",
    *("\x1b[A", "\x1b[B", "\x1b[C", "\x1b[D", "\x1b[5~", "\x1b[6~", "\x1bOP", "\x1b[Z", "ä", "\x00"),
]  # fmt: skip


class Session:
    """One session in a terminal of its own."""

    def __init__(self, folder: Path, chance: random.Random) -> None:
        self._chance, self._said, self._ended = chance, b"", False
        columns, rows = chance.choice(_SIZES)
        self._child, self._terminal = pty.fork()
        if not self._child:
            _begin(folder, columns, rows)
        self._resize(columns, rows)

    def run(self) -> tuple[int | None, str]:
        """Press random keys to the end; the exit code, None where it never ended, and what it said last."""
        self._reads_for(0.4)
        for _ in range(self._chance.randrange(40, 160)):
            if self._ended:
                break
            self._press()
        until_s = time.monotonic() + _PATIENCE_S
        while not self._ended and time.monotonic() < until_s:
            self._sends(b"\x03")
            self._reads_for(0.3)
        if not self._ended:
            os.kill(self._child, signal.SIGKILL)
        status = os.waitpid(self._child, 0)[1]
        os.close(self._terminal)
        return os.waitstatus_to_exitcode(status) if self._ended else None, self._said.decode(errors="replace")

    def _press(self) -> None:
        burst = self._chance.choice([1, 1, 1, 1, 2, 3, 12])
        keys = [self._chance.choice(_LIKELY if self._chance.random() < 0.8 else _OTHERS) for _ in range(burst)]
        if self._chance.random() < 0.03:
            self._resize(*self._chance.choice(_SIZES))
        self._sends("".join(keys).encode())
        self._reads_for(self._chance.choice([0.0, 0.005, 0.03, 0.06]))

    def _sends(self, keys: bytes) -> None:
        with suppress(OSError):
            os.write(self._terminal, keys)

    def _reads_for(self, seconds: float) -> None:
        until_s = time.monotonic() + seconds
        while not self._ended:
            ready, _, _ = select.select([self._terminal], [], [], max(until_s - time.monotonic(), 0.0))
            if not ready:
                return
            try:
                came = os.read(self._terminal, 1 << 16)
            except OSError:  # the other end is closed
                came = b""
            self._ended = not came
            self._said = (self._said + came)[-20_000:]

    def _resize(self, columns: int, rows: int) -> None:
        with suppress(OSError):
            fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))


def _begin(folder: Path, columns: int, rows: int) -> None:
    """The session, in the process that was forked for it."""
    code = 70
    with suppress(BaseException), _said_on_the_terminal():
        fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        signal.signal(
            signal.SIGINT, signal.default_int_handler
        )  # a run in the background hands on that it is ignored
        # The streams of before the fork are those of a file or a pipe; these are of the terminal.
        sys.stdin = sys.__stdin__ = open(0, encoding="utf-8", closefd=False)  # type: ignore[misc]  # noqa: SIM115
        sys.stdout = sys.__stdout__ = open(1, "w", encoding="utf-8", closefd=False)  # type: ignore[misc]  # noqa: SIM115
        sys.stderr = sys.__stderr__ = open(2, "w", encoding="utf-8", closefd=False)  # type: ignore[misc]  # noqa: SIM115
        coach.store.clock.now = at_speed(coach.store.clock.now, SPEED)
        key_guard.SETTLE_S, key_guard.REPEAT_S = key_guard.SETTLE_S / SPEED, key_guard.REPEAT_S / SPEED
        coach.content_files.content_folder.load_content = lambda *_: shipped()
        code = coach.cli.main(["session", str(folder), "--silent"])
        sys.stdout.flush()
    os._exit(code)


@contextmanager
def _said_on_the_terminal() -> Iterator[None]:
    try:
        yield
    except BaseException:
        os.write(2, traceback.format_exc().encode())
        raise


def one(seed: int, pristine: Path, folder: Path) -> tuple[str, str]:
    """How a session of a copied client ended, and what it said where that is a fault."""
    chance = random.Random(seed)
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(pristine / chance.choice(_CLIENTS), folder)
    code, said = Session(folder, chance).run()
    if code not in _FINE:
        return "did not end" if code is None else f"exit code {code}", said
    try:
        records = read_client_folder(folder).stored_sessions
    except FileFault as fault:
        return "unreadable afterwards", str(fault)
    entries = sum(len(one.session.entry) for one in records)
    return f"fine, exit code {code}{'' if entries else ', nothing kept'}", ""


def main() -> int:
    """Run the sessions; print how they ended, and each fault with its seed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    os.environ.update(TERM="xterm-256color", TEXTUAL_ANIMATIONS="none")
    ended, faults = Counter[str](), 0
    with tempfile.TemporaryDirectory() as made:
        os.environ.update(dict.fromkeys(("HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME"), f"{made}/home"))
        pristine = copy_pristine(Path(made) / "clients")
        shipped()
        gc.freeze()
        for seed in range(arguments.seed, arguments.seed + arguments.times):
            how, said = one(seed, pristine, Path(made) / "one")
            ended[how] += 1
            if not how.startswith("fine"):
                faults += 1
                print(f"seed {seed}: {how}\n{said[-3000:]}", flush=True)
            if seed % 50 == 0:
                print(f"{sum(ended.values())} sessions, {faults} faults", flush=True)
    for how, times in ended.most_common():
        print(f"{times:6} {how}")
    print(f"{sum(ended.values())} sessions of random keys, {faults} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())

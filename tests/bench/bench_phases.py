"""Tones and screen of a real session in a real terminal against the wall clock, and the processor's share.

Run in a terminal of the size to be measured:
python tests/bench/bench_phases.py REPORT [--load N] [--repetitions N] [--sets N]

The client tern does the sets one after the other; nobody needs to press a key. `--load` keeps so many processes busy
all the while. Two sets of 30 last ten minutes. For each signal of a set: how late its tone was asked for, how late
the player ran, here a program that only waits as long as the tone lasts, and how late the terminal had the first
bytes of the changed screen. For the frames: from one to the next, of which there are twenty a second, and from the
moment that one shows until the terminal had it. Printed into REPORT, never asserted.
"""

import argparse
import asyncio
import multiprocessing
import os
import resource
import shutil
import statistics
import sys
import tempfile
import time
from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import TextIO

sys.path.insert(0, str(Path(__file__).parents[2]))

from coach.content_files.content_folder import content_folder, load_content
from coach.screens.client.session_app import SessionApp
from coach.screens.sound.players import Command, Program, SoundOutput
from coach.screens.sound.sounder import Process, start_program
from coach.screens.sound.tones import tone_seconds
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, go_on
from coach.session.script import Work
from coach.session.signals import Signal
from coach.store.client_store import ClientStore
from coach.store.clock import now
from coach.store.live_session import LiveSession, Opening, open_session
from tests.demo.pristine import DEMO

TREE = Path(__file__).parents[2]
_TONES = SoundOutput(Program("sleep", ("{file}",)))


def keep_busy() -> None:
    """Use one core."""
    while True:
        sum(range(100_000))


class Terminal:
    """The terminal, and when it had what was written."""

    def __init__(self, file: TextIO) -> None:
        self._file, self.written = file, list[float]()

    def __getattr__(self, name: str) -> object:
        return getattr(self._file, name)

    def flush(self) -> None:
        """Hand on what waits."""
        self._file.flush()
        self.written.append(time.time())

    def first_after(self, at_s: float) -> float:
        """When it first had something new after this moment."""
        index = bisect_left(self.written, at_s)
        return self.written[index] if index < len(self.written) else time.time()


class Measured(SessionApp):
    """The session as it is, with its times written down."""

    CSS_PATH = str(TREE / "coach" / "screens" / "client" / "session.tcss")

    def __init__(self, opening: Opening, terminal: Terminal) -> None:
        super().__init__(opening.plan.content, opening, now, lambda: _TONES)
        self.terminal = terminal
        self.asked: list[tuple[Signal, float, float]] = []
        self.ran: list[tuple[float, float]] = []
        self.frames: list[list[float]] = []
        self.spent = [0.0, 0.0]
        self._set_began_s: float | None = None

    def begin_measuring(self) -> None:
        """Listen to the tones."""
        self.wall_at_zero_s = time.time() - now().s  # once: a clock that ran away from the wall's would be seen
        sounder = self._announcer.sounder
        self._sound = sounder.sound
        sounder.sound = self._hear  # type: ignore[method-assign]  # what is measured is when it is asked for
        sounder._start = self._begin

    async def _frame(self) -> None:
        if self._set_began_s is not None:
            self.frames[-1].append(time.time())
        await super()._frame()

    def _hear(self, signals: Sequence[Signal], words: str = "", tick: bool = False) -> None:
        for signal in signals:
            self.asked.append((signal, self._due_s(signal), time.time()))
        self._sound(signals, words, tick)

    def _begin(self, _command: Command) -> Process:
        """Start a program that lasts as long as the tone, and note when it ran."""
        signal, due_s, _ = self.asked[-1]
        process = start_program(Command(("sleep", str(tone_seconds(signal.name)))))
        self.ran.append((due_s, time.time()))
        return process

    def _due_s(self, signal: Signal) -> float:
        return self.wall_at_zero_s + (self._set_began_s or 0.0) + signal.at_s

    async def go_through(self, sets: int) -> None:
        """Read and answer up to the first set, let so many sets pass, and close."""
        await asyncio.sleep(1.0)
        live = self._live
        assert live is not None
        self.begin_measuring()
        for _ in range(sets):
            while not isinstance(live.state.step, Work):
                question = live.state.question
                if question is None:
                    live.act(go_on)
                else:
                    value = clean_answer(question)
                    live.act(lambda state, at, value=value: answer(state, value, at))  # type: ignore[misc]
            await self._one_set(live)
        self.exit()

    async def _one_set(self, live: LiveSession) -> None:
        """Let a set pass, and add up what it took of the processor."""
        self._set_began_s = live.state.watch.since_s or 0.0
        self.frames.append([])
        before, began_s = resource.getrusage(resource.RUSAGE_SELF), time.time()
        while isinstance(live.state.step, Work):
            await asyncio.sleep(0.25)
        after, self._set_began_s = resource.getrusage(resource.RUSAGE_SELF), None
        self.spent[0] += after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        self.spent[1] += time.time() - began_s


def report(app: Measured) -> str:
    """The table."""
    seen, (used_s, whole_s) = app.terminal, app.spent
    late_ms = [1000 * (asked_s - due_s) for _, due_s, asked_s in app.asked]
    first, last = late_ms[: len(late_ms) // 4], late_ms[-len(late_ms) // 4 :]
    later_ms = statistics.median(last) - statistics.median(first)
    between, shown = list[float](), list[float]()
    slowest = (0.0, 0.0)
    for one in app.frames:
        between += [1000 * (later_s - sooner_s) for sooner_s, later_s in pairwise(one)]
        slowest = max(slowest, *((later_s - sooner_s, sooner_s - one[0]) for sooner_s, later_s in pairwise(one)))
        # A frame that changes nothing, as in a hold, writes nothing.
        written = ((at_s, seen.first_after(at_s), next_s) for at_s, next_s in pairwise(one))
        shown += [1000 * (written_s - at_s) for at_s, written_s, next_s in written if written_s < next_s]
    lines = [
        f"{len(late_ms)} signals in {whole_s:.1f} s at {app.size.width} x {app.size.height}",
        f"tone asked for:    {_spread(late_ms)}",
        f"player ran:        {_spread([1000 * (ran_s - due_s) for due_s, ran_s in app.ran])}",
        f"screen written:    {_spread([1000 * (seen.first_after(due_s) - due_s) for _, due_s, _ in app.asked])}",
        f"drift: the last quarter is {later_ms:+.2f} ms later than the first",
        f"frame to frame:    {_spread(between)}; the worst {slowest[1]:.1f} s into its set",
        f"frame to terminal: {_spread(shown)}",
        f"machine: {multiprocessing.cpu_count()} cores, load average {os.getloadavg()[0]:.1f}",
        f"processor: {100 * used_s / whole_s:.1f} % of a core; writes a second: {len(seen.written) / whole_s:.1f}",
    ]
    return "\n".join(lines) + "\n"


def _spread(times_ms: Sequence[float]) -> str:
    hundredths = statistics.quantiles(times_ms, n=100, method="inclusive")
    return (
        f"{len(times_ms):6} times, median {statistics.median(times_ms):6.2f} ms, "
        f"99 of 100 within {hundredths[98]:6.2f} ms, worst {max(times_ms):6.2f} ms"
    )


def main() -> None:
    """The sets, and their report."""
    parser = argparse.ArgumentParser()
    parser.add_argument("report", type=Path)
    parser.add_argument("--load", type=int, default=0)
    parser.add_argument("--repetitions", type=int, default=15)
    parser.add_argument("--sets", type=int, default=1)
    chosen = parser.parse_args()
    busy = [multiprocessing.Process(target=keep_busy, daemon=True) for _ in range(chosen.load)]
    for process in busy:
        process.start()
    with tempfile.TemporaryDirectory() as folder:
        client = Path(shutil.copytree(DEMO / "tern", Path(folder) / "tern"))
        prescription = client / "prescription.toml"
        goal = f"repetitions_min = {chosen.repetitions}\nrepetitions_max = {chosen.repetitions}\n"
        text = prescription.read_text().replace("repetitions_min = 8\nrepetitions_max = 15\n", goal)
        prescription.write_text(text)
        content = load_content(content_folder(), "en")
        terminal = Terminal(sys.stderr)
        sys.__stderr__ = terminal  # type: ignore[assignment, misc]  # what Textual writes to
        app = Measured(open_session(ClientStore.read(client, content), now()), terminal)
        app.call_later(lambda: app.run_worker(app.go_through(chosen.sets)))
        app.run()
        if app.failed is not None:
            raise app.failed
        chosen.report.write_text(report(app))
    for process in busy:
        process.terminate()


if __name__ == "__main__":
    main()

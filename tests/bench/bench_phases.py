"""Phase times of a real session in a real terminal against the wall clock, and the processor's share.

Run in a terminal of the size to be measured:
python tests/bench/bench_phases.py REPORT [--load N] [--repetitions N] [--sets N]

The client tern does the sets one after the other; nobody needs to press a key. `--load` keeps so many processes busy
all the while. Two sets of 30 last ten minutes. For each signal of a set: how late the tone was asked for, and how
late the first bytes of the changed screen went to the terminal. Printed into REPORT, never asserted.
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
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from coach.content_files.content_folder import content_folder, load_content
from coach.screens.client.session_app import SessionApp
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, go_on
from coach.session.script import Work
from coach.session.signals import Signal
from coach.store.client_store import ClientStore
from coach.store.clock import now
from coach.store.live_session import LiveSession, open_session
from tests.demo.pristine import DEMO

TREE = Path(__file__).parents[2]


def keep_busy() -> None:
    """Use one core."""
    while True:
        sum(range(100_000))


class Measured(SessionApp):
    """The session as it is, with its times written down."""

    CSS_PATH = str(TREE / "coach" / "screens" / "client" / "session.tcss")

    def begin_measuring(self) -> None:
        """Listen to the tones and to what goes to the terminal."""
        self.tones: list[tuple[Signal, float, float]] = []
        self.written: list[float] = []
        self.frames = 0
        self.spent = [0.0, 0.0]
        self.wall_at_zero_s = time.time() - now().s  # once: a clock that ran away from the wall's would be seen
        self._announcer.sounder.sound = self._hear  # type: ignore[method-assign, assignment]  # what is measured is when it is asked for
        driver = self._driver
        assert driver is not None
        write = driver.write

        def timed(data: str) -> None:
            self.written.append(time.time())
            write(data)

        driver.write = timed  # type: ignore[method-assign]  # see above

    def _hear(self, signals: Sequence[Signal], *_: object) -> None:
        for signal in signals:
            self.tones.append((signal, self.wall_at_zero_s + self._set_began_s + signal.at_s, time.time()))

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
        before, began_s = resource.getrusage(resource.RUSAGE_SELF), time.time()
        while isinstance(live.state.step, Work):
            await asyncio.sleep(0.25)
        after = resource.getrusage(resource.RUSAGE_SELF)
        self.spent[0] += after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        self.spent[1] += time.time() - began_s


def report(app: Measured) -> str:
    """The table."""
    late_ms = [1000 * (heard_s - due_s) for _, due_s, heard_s in app.tones]
    seen_ms = [
        1000 * (next((at_s for at_s in app.written if at_s >= due_s), heard_s) - due_s)
        for _, due_s, heard_s in app.tones
    ]
    used_s, whole_s = app.spent
    first, last = late_ms[: len(late_ms) // 4], late_ms[-len(late_ms) // 4 :]
    later_ms = statistics.median(last) - statistics.median(first)
    lines = [
        f"{len(late_ms)} signals in {whole_s:.1f} s at {app.size.width} x {app.size.height}",
        f"tone asked for: {_spread(late_ms)}",
        f"screen written: {_spread(seen_ms)}",
        f"drift: the last quarter is {later_ms:+.2f} ms later than the first",
        f"machine: {multiprocessing.cpu_count()} cores, load average {os.getloadavg()[0]:.1f}",
        f"processor: {100 * used_s / whole_s:.1f} % of a core; writes a second: {len(app.written) / whole_s:.1f}",
    ]
    return "\n".join(lines) + "\n"


def _spread(times_ms: list[float]) -> str:
    return (
        f"median {statistics.median(times_ms):.2f} ms late, worst {max(times_ms):.2f} ms, best {min(times_ms):.2f} ms"
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
        app = Measured(content, open_session(ClientStore.read(client, content), now()), now)
        app.call_later(lambda: app.run_worker(app.go_through(chosen.sets)))
        app.run()
        if app.failed is not None:
            raise app.failed
        chosen.report.write_text(report(app))
    for process in busy:
        process.terminate()


if __name__ == "__main__":
    main()

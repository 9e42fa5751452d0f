"""From the command to the first screen, beside a bare Textual app in the same run.

Both from compiled modules; the first start of each writes them and is not counted. That start also keeps the shipped
content for the next; "nothing kept" is a session without it. On a busy computer the shortest start and the time of
the processor say more than the medians.

Run: python -m tests.bench.bench_first_screen
"""

import resource
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import pexpect

from coach.store.client_store import ClientStore
from coach.store.clock import now
from coach.store.programme.upgrade import upgrade
from tests.bench.child import as_installed
from tests.demo.pristine import DEMO

TREE = Path(__file__).parent.parent.parent
RUNS = 15
COACH = str(Path(sys.executable).with_name("coach"))
BARE = """
from textual.app import App
from textual.widgets import Static
class Hello(App):
    def compose(self):
        yield Static("Hello there")
Hello().run()
"""


class Start(NamedTuple):
    """One start: milliseconds until a text was on the terminal, and of the processor until the end just after."""

    wall_ms: float
    processor_ms: float


def first_screen(command: list[str], text: str, cwd: Path, env: dict[str, str] | None = None) -> Start:
    """Start a command, and end it when a text is on its terminal."""
    begun, used = time.perf_counter(), _used_s()
    child = pexpect.spawn(
        command[0], command[1:], cwd=str(cwd), env=as_installed(env or {}), dimensions=(24, 80), timeout=60
    )
    child.expect_exact(text.encode())
    wall_s = time.perf_counter() - begun
    child.close(force=True)
    return Start(wall_s * 1000, (_used_s() - used) * 1000)


def _used_s() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main() -> None:
    """Print the shortest and the median starts, and what they are of a bare app's."""
    bare, line, ours, unkept, alone = (list[Start]() for _ in range(5))
    with tempfile.TemporaryDirectory() as folder:
        newest = Path(shutil.copytree(DEMO / "tern", Path(folder) / "newest" / "tern"))
        upgrade(newest)  # as every client is after the first session, with the progress that it has left
        with ClientStore.locked(newest) as store:
            store.save(now().at)
        for run in range(RUNS + 1):
            client = Path(
                shutil.copytree(newest, Path(folder) / f"run{run}" / "tern")
            )  # a renamed one is written again
            bare.append(first_screen([sys.executable, "-c", BARE], "Hello there", TREE))
            line.append(first_screen([COACH, "rehearse", str(client)], "Steady Arc ...", TREE))
            cache = {"XDG_CACHE_HOME": f"{folder}/cache"}
            ours.append(first_screen([COACH, "session", str(client)], "Today", TREE, cache))
            again = Path(shutil.copytree(newest, Path(folder) / f"again{run}" / "tern"))
            empty = {"XDG_CACHE_HOME": f"{folder}/cache{run}"}
            unkept.append(first_screen([COACH, "session", str(again)], "Today", TREE, empty))
            home = Path(folder) / f"home{run}"
            shutil.copytree(newest, home / "steady-arc" / "clients" / "tern" / "tern")
            alone.append(first_screen([COACH], "Today", TREE, {"XDG_DATA_HOME": str(home), **cache}))
    print("                  shortest    of bare     median    of bare  processor    of bare")
    floor = _figures(bare[1:])
    for name, starts in (
        ("bare Textual app", bare),
        ("first line", line),
        ("coach session", ours),
        ("nothing kept", unkept),
        ("coach alone", alone),
    ):
        figures = zip(_figures(starts[1:]), floor, strict=True)
        print(f"{name:<18}" + "".join(f"{one:5.0f} ms {one / least:10.2f} " for one, least in figures))


def _figures(starts: Sequence[Start]) -> tuple[float, float, float]:
    """The shortest start, the median, and the least time of the processor."""
    wall_ms = [start.wall_ms for start in starts]
    return min(wall_ms), statistics.median(wall_ms), min(start.processor_ms for start in starts)


if __name__ == "__main__":
    main()

"""From the command to the first screen, beside a bare Textual app in the same run.

Run: python -m tests.bench.bench_first_screen
"""

import os
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

import pexpect

from coach.store.programme.upgrade import upgrade

TREE = Path(__file__).parent.parent.parent
RUNS = 15
BARE = """
from textual.app import App
from textual.widgets import Static
class Hello(App):
    def compose(self):
        yield Static("Hello there")
Hello().run()
"""


def first_screen_s(command: list[str], text: str, cwd: Path, env: dict[str, str] | None = None) -> float:
    """Seconds from the start of a command to a text on its terminal."""
    begun = time.perf_counter()
    environment = {**os.environ, **(env or {})}
    child = pexpect.spawn(command[0], command[1:], cwd=str(cwd), env=environment, dimensions=(24, 80), timeout=20)
    child.expect_exact(text.encode())
    taken = time.perf_counter() - begun
    child.close(force=True)
    return taken


def main() -> None:
    """Print the medians and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        newest = Path(shutil.copytree(TREE / "demo_profiles" / "tern", Path(folder) / "newest" / "tern"))
        upgrade(newest)  # as every client is after the first session
        bare, ours, alone = list[float](), list[float](), list[float]()
        for run in range(RUNS):
            client = Path(shutil.copytree(newest, Path(folder) / f"client{run}"))
            bare.append(first_screen_s([sys.executable, "-c", BARE], "Hello there", TREE))
            ours.append(first_screen_s([sys.executable, "-m", "coach", "session", str(client)], "Today", TREE))
            home = Path(folder) / f"home{run}"
            shutil.copytree(newest, home / "steady-arc" / "clients" / "tern" / "tern")
            alone.append(first_screen_s([sys.executable, "-m", "coach"], "Today", TREE, {"XDG_DATA_HOME": str(home)}))
    floor, session, front_door = map(statistics.median, (bare, ours, alone))
    print(f"bare Textual app    {floor * 1000:6.0f} ms")
    print(f"coach session       {session * 1000:6.0f} ms")
    print(f"ratio               {session / floor:6.2f}")
    print(f"coach alone         {front_door * 1000:6.0f} ms")


if __name__ == "__main__":
    main()

"""What a set writes to a terminal, frame by frame: whether anything is erased, or blank for one frame.

Run: python -m tests.bench.bench_flicker [--repetitions N] [--size 80x24]

The client tern does one set in a tmux of its own; ten repetitions last two minutes. tmux hands on the bytes that the
program wrote. A frame ends where the cursor is put back on what is asked. Needs tmux.
"""

import argparse
import re
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.screens.watched_terminal import Seen, WatchedTerminal

_TREE = Path(__file__).parents[2]
_SOCKET = "steady-arc-bench"
_FRAME_ENDS = re.compile(rb"(?<=H)(?=\x1b\[\d+;\d+H)")
_MOVING = "Repetition "


def recorded(repetitions: int, columns: int, rows: int) -> bytes:
    """The bytes of one set, from the start of the program to its end."""
    tmux = shutil.which("tmux")
    if tmux is None:
        raise SystemExit("There is no tmux.")
    with tempfile.TemporaryDirectory() as folder:
        report, raw = Path(folder) / "report", Path(folder) / "raw"
        command = f"{sys.executable} {_TREE}/tests/bench/bench_phases.py {report} --repetitions {repetitions}"
        at_size = ("-x", str(columns), "-y", str(rows))
        subprocess.run([tmux, "-L", _SOCKET, "new-session", "-d", *at_size, command], check=True, cwd=_TREE)
        subprocess.run([tmux, "-L", _SOCKET, "pipe-pane", "-O", f"cat > {raw}"], check=True)
        while not report.exists():
            time.sleep(1.0)
        return raw.read_bytes()


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--repetitions", type=int, default=10)
    parser.add_argument("--size", default="80x24")
    chosen = parser.parse_args()
    columns, rows = map(int, chosen.size.split("x"))
    data, terminal, moving = recorded(chosen.repetitions, columns, rows), WatchedTerminal(columns, rows), False
    for frame in _FRAME_ENDS.split(data):
        terminal.frame(frame)
        shown = any(_MOVING in line for line in terminal.display)
        if shown and not moving:
            terminal.seen = Seen()  # what comes before is other pages
        if moving and not shown:
            break
        moving = shown
    print(f"{len(data) // 1024} KiB in all, a set of {chosen.repetitions} at {chosen.size} in tmux")
    print(terminal.seen.text())


if __name__ == "__main__":
    main()

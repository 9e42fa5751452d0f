"""A caseload on the screen: opened, found in and ordered, beside reading the bytes of all files once in the same run.

Run as `python -m tests.bench.bench_caseload [CLIENTS]`. Everything is made up, in a folder that is taken away again.
How it grows with the number of clients, and its memory, are in `bench_scale`.
"""

import os
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from coach.commands.support.caseload_loading import caseload_lines
from coach.overview.caseload_lines import search_lines, sorted_lines
from coach.store.clock import now
from coach.store.summary_index import index_path
from tests.store.generated_caseload import make

_CLIENTS, SETTLES_S = 2000, 2.5


def _timed(what: str, run: Callable[[], object], floor_s: float | None = None) -> float:
    begun = time.perf_counter()
    run()
    took_s = time.perf_counter() - begun
    beside = f", {took_s / floor_s:8.2f} times the bytes" if floor_s else ""
    print(f"{what:<34} {took_s:8.3f} s{beside}")
    return took_s


def main(clients: int = _CLIENTS) -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "clients"
        os.environ["XDG_CACHE_HOME"] = str(Path(made) / "cache")
        make(folder, clients, now().at.date() - timedelta(days=1))  # one of this evening would be ahead of the clock
        files = [path for path in folder.rglob("*.toml") if path.is_file()]
        print(f"{clients} clients, {len(files)} files, {sum(path.stat().st_size for path in files) / 2**20:.0f} MiB")
        time.sleep(SETTLES_S)  # files just written are read again the next time, and that is not what is measured
        floor_s = _timed("the bytes of all files", lambda: [path.read_bytes() for path in files])
        _timed("open, the first time", lambda: caseload_lines(folder), floor_s)
        _timed("open again", lambda: caseload_lines(folder), floor_s)
        lines = caseload_lines(folder)
        _timed("one letter typed", lambda: sorted_lines(search_lines(lines, "pain"), "need"), floor_s)
        _timed("another order", lambda: sorted_lines(lines, "pain"), floor_s)
        print(f"index: {index_path(folder).stat().st_size / 2**20:.1f} MiB")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else _CLIENTS)

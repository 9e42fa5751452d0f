"""From a key to an answer on the disk, each beside a bare write and fsync of as many bytes just after it.

Run: python -m tests.bench.bench_answer
"""

import os
import tempfile
import time
from pathlib import Path
from shutil import copytree
from statistics import median

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.session.rehearsal import apply_answers, seconds_to_answer
from coach.store.client_paths import RECORDS
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session, start_session
from tests.clocks import FakeClock
from tests.demo.pristine import DEMO

SESSIONS = 12


def main() -> None:
    """Print the medians and their ratio."""
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:  # not in a folder that lies in memory
        answers = [one for number in range(SESSIONS) for one in _session(Path(folder) / str(number))]
    ours_ms, floor_ms, size = (median(one[part] for one in answers) for part in range(3))
    print(f"{len(answers)} answers, {size:.0f} bytes each")
    print(f"{'bare write and fsync':28s}{floor_ms:8.2f} ms")
    print(f"{'key to answer on the disk':28s}{ours_ms:8.2f} ms {ours_ms / floor_ms:6.2f} x")


def _session(folder: Path) -> list[tuple[float, float, int]]:
    """Of each key of a whole session that wrote something: its time, that of the bare write, and the bytes."""
    client, clock, content = Path(copytree(DEMO / "tern", folder)), FakeClock(), _CONTENT
    live = start_session(open_session(ClientStore.read(client, content), clock()), clock)
    (record,) = (client / RECORDS).iterdir()
    written = []
    while not live.state.over:
        waits_until_s = seconds_to_answer(live.state, Answers())
        if waits_until_s is not None:
            clock.advance(max(0.0, waits_until_s - live.now_s))
        before = record.stat().st_size
        begun = time.perf_counter()
        live.act(lambda state, now: apply_answers(state, Answers(), now))
        taken_ms = (time.perf_counter() - begun) * 1000
        size = record.stat().st_size - before
        if size and not live.state.over:  # the last one writes progress.toml as well
            written.append((taken_ms, _bare_ms(client / "bare", size), size))
    return written


def _bare_ms(path: Path, size: int) -> float:
    data = b"x" * size
    begun = time.perf_counter()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    os.write(handle, data)
    os.fsync(handle)
    os.close(handle)
    return (time.perf_counter() - begun) * 1000


_CONTENT = load_content(content_folder(), "en")

if __name__ == "__main__":
    main()

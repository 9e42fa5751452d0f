"""Opening ten years of history, beside reading its bytes in the same run, and what an export of it takes.

Run: python -m tests.bench.bench_history
"""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from coach.content_files.content_folder import content_folder, load_content
from coach.model.progress import Progress
from coach.screens.gc_tuning import defer_gc
from coach.store.client_paths import RECORDS
from coach.store.client_store import FINGERPRINT, ClientStore
from tests.bench.child import run
from tests.bench.long_history import SESSIONS, TREE, write_long_history

RUNS = 7


def taken_ms(work: Callable[[], object], runs: int = RUNS) -> float:
    """The median processor time of some work."""
    times = []
    for _ in range(runs):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return median(times) * 1000


def main() -> None:
    """Print the times and their ratios."""
    defer_gc()  # as every command does
    content = load_content(content_folder(), "en")
    with tempfile.TemporaryDirectory() as folder:
        client = write_long_history(Path(folder))

        def opened() -> Progress:
            return ClientStore.read(client, content).progress

        files = sorted((client / RECORDS).glob("*.toml"))
        floor = taken_ms(lambda: [file.read_bytes() for file in files])
        sealed_ms, sealed = taken_ms(opened), opened()
        (client / FINGERPRINT).unlink()
        whole_ms = taken_ms(opened, 3)
        assert sealed == opened()
        exports = {form: Path(folder) / form for form in ("csv", "fhir")}
        used = {
            form: run(["-m", "coach", "export", client, f"--{form}", "--to", to], TREE)
            for form, to in exports.items()
        }
        sizes = {form: to.stat().st_size / 2**20 for form, to in exports.items()}
    print(f"{SESSIONS} sessions")
    for what, ms in (("bytes read", floor), ("opened, sealed", sealed_ms), ("opened, folded whole", whole_ms)):
        print(f"{what:22s}{ms:8.0f} ms {ms / floor:8.1f} x")
    for form, one in used.items():
        took = f"{one.processor_s * 1000:8.0f} ms, {one.most_mib:.0f} MiB of memory for {sizes[form]:.1f} MiB"
        print(f"{'exported, ' + form:22s}{took}")


if __name__ == "__main__":
    main()

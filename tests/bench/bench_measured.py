"""A minute of a sensor's table, read and analysed: `python -m tests.bench.bench_measured`."""

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

import numpy as np

RUNS = 7
SECONDS = 60


def main() -> None:
    """Print the times."""
    from coach.motion_capture.analysis import analyse
    from coach.motion_capture.table_file import read_table
    from tests.motion_capture.simulated import Person, simulate

    made = simulate(Person(), 1)
    rows = int(SECONDS * made.recording.rate_hz)
    values = np.column_stack([made.recording.acceleration, made.recording.turning])[:rows]
    lines = [f"{n / made.recording.rate_hz:.2f}," + ",".join(f"{v:.5f}" for v in row) for n, row in enumerate(values)]
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "table.csv"
        file.write_text("time,ax,ay,az,gx,gy,gz\n" + "\n".join(lines), encoding="utf-8")
        times = []
        for _ in range(RUNS):
            begun = time.perf_counter()
            analyse(read_table(file).recording, made.asked)
            times.append(time.perf_counter() - begun)
    code = (
        "import time; b = time.perf_counter(); import coach.motion_capture.analysis; print(time.perf_counter() - b)"
    )
    bare = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    print(
        f"{rows} rows, 100 a second: {median(times) * 1000:.0f} ms; the import before it {float(bare) * 1000:.0f} ms"
    )


if __name__ == "__main__":
    main()

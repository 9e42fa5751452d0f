"""Whole commands as processes, beside a Python that only imports what they are built on: time and memory.

Run: python -m tests.bench.bench_commands
"""

from statistics import median

from tests.bench.child import run
from tests.bench.long_history import TREE

RUNS = 9
_IMPORTS = "import pydantic, rich.console; pydantic.BaseModel"
COMMANDS: dict[str, list[str]] = {
    "python -c pass": ["-c", "pass"],
    "python with its imports": ["-c", _IMPORTS],
    "coach preview --text": ["-m", "coach", "preview", "demo_profiles/plover", "--text"],
    "coach history": ["-m", "coach", "history", "demo_profiles/plover"],
    "coach setup": ["-m", "coach", "setup", "demo_profiles/plover"],
    "coach check": ["-m", "coach", "check"],
}


def main() -> None:
    """Print each command's median time, how often that of the imports, and its largest memory."""
    taken = {name: [_run(command) for _ in range(RUNS)] for name, command in COMMANDS.items()}
    floor_ms = median(ms for ms, _ in taken["python with its imports"])
    for name, runs in taken.items():
        ms, mib = median(run[0] for run in runs), max(run[1] for run in runs)
        print(f"{name:26s}{ms:7.0f} ms {ms / floor_ms:6.2f} x {mib:7.0f} MiB")


def _run(command: list[str]) -> tuple[float, float]:
    """Milliseconds, and the largest memory of the process in MiB."""
    used = run(command, TREE)
    assert used.code == 0, command
    return used.seconds * 1000, used.most_mib


if __name__ == "__main__":
    main()

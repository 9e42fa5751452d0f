"""Whole commands as processes, beside a Python that does nothing and one that only imports what they are built on.

Processor time, which another process on the machine changes less than the time on the clock, and memory.

Run: python -m tests.bench.bench_commands
"""

from statistics import median

from tests.bench.child import run
from tests.bench.long_history import TREE

RUNS = 9
_IMPORTS = "import msgspec, toml_rs, rich.console"
COMMANDS: dict[str, list[str]] = {
    "python -c pass": ["-c", "pass"],
    "coach --help": ["-m", "coach", "--help"],
    "coach --version": ["-m", "coach", "--version"],
    "coach session --help": ["-m", "coach", "session", "--help"],
    "python with its imports": ["-c", _IMPORTS],
    "coach preview --text": ["-m", "coach", "preview", "demo_profiles/plover", "--text"],
    "coach history": ["-m", "coach", "history", "demo_profiles/plover"],
    "coach setup": ["-m", "coach", "setup", "demo_profiles/plover"],
    "coach check": ["-m", "coach", "check"],
}


def main() -> None:
    """Print each command's median time, how often that of both floors, and its largest memory; in turns."""
    turns = [{name: _run(command) for name, command in COMMANDS.items()} for _ in range(RUNS)]
    times = {name: median(turn[name][0] for turn in turns) for name in COMMANDS}
    for name, ms in times.items():
        mib = max(turn[name][1] for turn in turns)
        bare, imports = ms / times["python -c pass"], ms / times["python with its imports"]
        print(f"{name:26s}{ms:7.0f} ms {bare:6.1f} x {imports:6.2f} x {mib:7.0f} MiB")


def _run(command: list[str]) -> tuple[float, float]:
    """Milliseconds of the processor, and the largest memory of the process in MiB."""
    used = run(command, TREE)
    assert used.code == 0, command
    return used.processor_s * 1000, used.most_mib


if __name__ == "__main__":
    main()

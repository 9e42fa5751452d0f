"""Whole commands over folders of clients: time, memory, and how both grow with the number of clients.

Run as `python -m tests.bench.bench_scale [FEW MANY]`. Each command is a process of its own. Growth is the exponent of
the processor time, less what the command takes for a handful of clients: 1 is linear. Other work on the machine makes
the seconds longer and leaves the processor time nearly as it is.
"""

import sys
import tempfile
import time
from math import log
from pathlib import Path

from coach.store.clock import now
from tests.bench.bench_caseload import SETTLES_S
from tests.bench.child import Used, run
from tests.bench.long_history import TREE
from tests.store.generated_caseload import make

HANDFUL, FEW, MANY = 10, 500, 2000
_LEAST_S = 0.05  # a growth from less than this is noise


def commands(folder: Path, out: Path) -> dict[str, list[object]]:
    """The commands in the order in which they are run, by what they are called here."""
    return {
        "caseload, the first time": ["caseload", folder, "--plain"],
        "caseload again": ["caseload", folder, "--plain"],
        "check": ["check", folder],
        "backup": ["backup", folder, "--to", out / "all.zip"],
        "restore": ["restore", out / "all.zip", "--to", out / "restored"],
        "backup, sealed": ["backup", folder, "--passphrase-file", out / "words", "--to", out / "all.sealed"],
        "restore, sealed": [
            *("restore", out / "all.sealed", "--passphrase-file", out / "words", "--to", out / "opened"),
        ],
        "export, one table": ["export", folder, "--all", "--csv", "--to", out / "all.csv"],
        "export, bundles": ["export", folder, "--all", "--fhir", "--to", out / "bundles"],
    }


def measured(clients: int) -> tuple[dict[str, Used], float]:
    """What each command takes for so many clients, and the seconds that reading all bytes takes."""
    with tempfile.TemporaryDirectory() as made:
        folder, out = Path(made) / "clients", Path(made) / "out"
        out.mkdir()
        (out / "words").touch(mode=0o600)
        (out / "words").write_text("harbour wedge clay seven")
        make(folder, clients, now().at.date())
        time.sleep(SETTLES_S)
        begun = time.perf_counter()
        for path in folder.rglob("*.toml"):
            path.read_bytes()
        floor_s = time.perf_counter() - begun
        environment = {"XDG_CACHE_HOME": str(Path(made) / "cache")}
        used = {
            name: run(["-m", "coach", *words], TREE, environment) for name, words in commands(folder, out).items()
        }
    # Some made-up clients cannot be read, which check and export say with this code.
    assert all(one.code in (0, 1) for one in used.values()), used
    return used, floor_s


def growth(start: Used, few: Used, many: Used, times: float) -> str:
    """The exponent of the processor time from few clients to `times` as many."""
    less, more = few.processor_s - start.processor_s, many.processor_s - start.processor_s
    return f"{log(more / less) / log(times):6.2f}" if less > _LEAST_S and more > _LEAST_S else "     -"


def main(few: int = FEW, many: int = MANY) -> None:
    """Print a row for each command and number of clients, then how the commands grow."""
    found = {clients: measured(clients) for clients in (HANDFUL, few, many)}
    for clients, (used, floor_s) in found.items():
        print(f"{clients} clients; all bytes once: {floor_s:.2f} s")
        for name, one in used.items():
            times = one.seconds / floor_s
            print(f"  {name:26}{one.seconds:8.2f} s{one.processor_s:9.2f} s of the processor", end="")
            print(f"{times:8.1f} times the bytes{one.most_mib:7.0f} MiB")
    print(f"growth from {few} to {many} clients: exponent, and memory")
    for name in found[few][0]:
        start, less, more = (found[clients][0][name] for clients in (HANDFUL, few, many))
        ratio = more.most_mib / less.most_mib
        print(f"  {name:26}{growth(start, less, more, many / few)}{ratio:8.2f} times the memory")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))

"""Whole commands over folders of clients: time, memory, and how both grow with the number of clients.

Run as `python -m tests.bench.bench_scale [CLIENTS ...]`. Each command is a process of its own. Growth is the exponent
of the processor time, less what the command takes for a handful of clients: 1 is linear. Other work on the machine
makes the seconds longer and leaves the processor time nearly as it is. The exponent without what the system takes is
that of the program alone.

With `--keep FOLDER` the clients and every figure stay in that folder, and what was measured there is not measured
again: a run may be ended at any moment and goes on where it was, for other numbers of clients too. `--only NAME`
measures one command, and what it needs. `--fewest` makes clients of one session at most, which fit where the others
do not; they are not read a first time: one of each kind is, and stands in the index for all of its kind.
"""

import argparse
import json
import os
import shutil
import tempfile
import time
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime, timedelta
from itertools import pairwise
from math import log
from pathlib import Path
from unittest import mock

from msgspec.structs import replace

from coach.commands.support.caseload_loading import caseload_lines
from coach.model.content import Content
from coach.store import caseload
from coach.store.client_summary import DatedSummary, dated_summary
from coach.store.clock import now
from tests.bench.bench_caseload import SETTLES_S
from tests.bench.child import Used, run
from tests.bench.long_history import TREE
from tests.store.generated_caseload import make

HANDFUL, FEW, MANY = 10, 500, 2000
_LEAST_S = 0.05  # a growth from less than this is noise
_BYTES = "all bytes once"
# What a restore is compared with.
_COPY, _COPIES = "all files copied", "import shutil, sys; shutil.copytree(*sys.argv[1:])"
Figures = dict[str, Used]


def commands(folder: Path, out: Path) -> dict[str, list[object]]:
    """What Python is given, in the order in which it is run, by what it is called here."""
    words = ["--passphrase-file", out / _WORDS]
    ours: dict[str, list[object]] = {
        "caseload, the first time": ["caseload", folder, "--plain"],
        "caseload again": ["caseload", folder, "--plain"],
        "caseload, a search": ["caseload", folder, "--plain", "--find", "pain", "--sort", "pain"],
        "check": ["check", folder],
        "audit": ["audit", folder],
        "backup": ["backup", folder, "--to", out / _WRITES["backup"]],
        "restore": ["restore", out / _WRITES["backup"], "--to", out / "restored"],
        "backup, sealed": ["backup", folder, *words, "--to", out / _WRITES["backup, sealed"]],
        "restore, sealed": ["restore", out / _WRITES["backup, sealed"], *words, "--to", out / "opened"],
        "export, one table": ["export", folder, "--all", "--csv", "--to", out / "all.csv"],
        "export, bundles": ["export", folder, "--all", "--fhir", "--to", out / "bundles"],
    }
    each: dict[str, list[object]] = {name: ["-m", "coach", *given] for name, given in ours.items()}
    return {**each, _COPY: ["-c", _COPIES, folder, out / "copied"]}


# What a command reads of another's.
_NEEDS = {"restore": "backup", "restore, sealed": "backup, sealed", "caseload again": "caseload, the first time"}
_WRITES = {"backup": "all.zip", "backup, sealed": "all.sealed"}
_WORDS = "words"  # the file of the passphrase, among what the commands write


class Kept:
    """The clients of one size and the figures of it, in a folder."""

    def __init__(self, folder: Path, clients: int, most_sessions: int | None) -> None:
        self.size, self.folder = clients, folder / f"{clients}"
        self.clients, self.out = self.folder / "clients", self.folder / "out"
        self._file = self.folder / "figures.json"
        self._is_filled = most_sessions is not None
        if not self._file.exists():
            shutil.rmtree(self.folder, ignore_errors=True)
            self.out.mkdir(parents=True)
            (self.out / _WORDS).touch(mode=0o600)
            (self.out / _WORDS).write_text("harbour wedge clay seven")
            # The last sessions are of yesterday: one of this evening would be ahead of the clock, and read each time.
            make(self.clients, clients, now().at.date() - timedelta(days=1), most_sessions=most_sessions)
            time.sleep(SETTLES_S)
            self.note(_BYTES, self._all_bytes())
            if most_sessions is not None:
                self._fill_index()

    @property
    def figures(self) -> Figures:
        """What was measured, in the order in which it was."""
        return {name: Used(**one) for name, one in json.loads(self._file.read_text()).items()}

    def note(self, name: str, used: Used) -> None:
        """Keep a figure."""
        kept = {**(self.figures if self._file.exists() else {}), name: used}
        self._file.write_text(json.dumps({one: asdict(value) for one, value in kept.items()}, indent=1))

    def measure(self, only: Sequence[str]) -> None:
        """Measure what was not measured."""
        every = commands(self.clients, self.out)
        wanted = [name for name in every if not only or name in only or name in map(_NEEDS.get, only)]
        known = self.figures
        needed = {_NEEDS.get(name) for name in wanted if name not in known}
        again = {name for name in needed if name in _WRITES and not (self.out / _WRITES[name]).exists()}
        for name in wanted:
            measured = name in known or (self._is_filled and name == "caseload, the first time")
            if not measured or name in again:  # an earlier run took away what it wrote
                cache = {"XDG_CACHE_HOME": str(self.folder / "cache"), "XDG_STATE_HOME": str(self.folder / "state")}
                used = run(every[name], TREE, cache)
                # Some made-up clients cannot be read, which check and export say with this code.
                assert used.code in (0, 1), (name, used)
                if not measured:
                    self.note(name, used)

    def take_away(self) -> None:
        """Take away what the commands wrote.

        After all sizes are measured, and five minutes before the next run: ext4 gives the number of a file deleted
        lately to no other, and looks at each of them for every new file (`recently_deleted`, in the profile of a
        restore that took ten times as long in the system; that it is for up to five minutes is from memory).
        """
        for path in self.out.iterdir():
            if path.name != _WORDS:
                shutil.rmtree(path) if path.is_dir() else path.unlink()

    def _fill_index(self) -> None:
        known = dict[bytes, DatedSummary]()

        def of_its_kind(path: Path, content: Content, now: datetime) -> DatedSummary:
            kind = b"".join(one.read_bytes() for one in sorted(path.rglob("*.toml"))).replace(path.name.encode(), b"")
            known[kind] = known.get(kind) or dated_summary(path, content, now)
            return replace(known[kind], summary=known[kind].summary.model_copy(update={"folder": path.name}))

        os.environ["XDG_CACHE_HOME"] = str(self.folder / "cache")
        with mock.patch.object(caseload, "dated_summary", of_its_kind):
            caseload_lines(self.clients)

    def _all_bytes(self) -> Used:
        begun = time.perf_counter()
        for path in self.clients.rglob("*.toml"):
            path.read_bytes()
        return Used(0, time.perf_counter() - begun, 0.0, 0.0, 0.0)


def growth(start: Used, few: Used, many: Used, times: float, of: str) -> str:
    """The exponent of a time of the processor from few clients to `times` as many."""
    begin, less, more = (getattr(one, of) for one in (start, few, many))
    grew = less - begin > _LEAST_S and more - begin > _LEAST_S
    return f"{log((more - begin) / (less - begin)) / log(times):6.2f}" if grew else "     -"


def print_figures(sizes: Sequence[Kept]) -> None:
    """Print a row for each command and number of clients, then how the commands grow from each size to the next."""
    for one in sizes:
        floor_s = one.figures[_BYTES].seconds
        print(f"{one.size} clients; {_BYTES}: {floor_s:.2f} s")
        for name, used in one.figures.items():
            if name != _BYTES:
                print(f"  {name:26}{used.seconds:8.2f} s{used.processor_s:9.2f} s of the processor", end="")
                print(f" ({used.system_s:.2f} s in the system)", end="")
                print(f"{used.seconds / floor_s:8.1f} times the bytes{used.most_mib:7.0f} MiB")
    for few, many in pairwise(sizes[1:]):
        print(f"growth from {few.size} to {many.size} clients: exponent, that outside the system, and memory each")
        for name in commands(few.clients, few.out):
            if name in few.figures and name in many.figures and name in sizes[0].figures:
                start, less, more = (one.figures[name] for one in (sizes[0], few, many))
                each_kib = (more.most_mib - less.most_mib) * 1024 / (many.size - few.size)
                both = (growth(start, less, more, many.size / few.size, of) for of in ("processor_s", "program_s"))
                print(f"  {name:26}{' '.join(both)}{each_kib:8.2f} KiB")


def main() -> None:
    """Measure, and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("clients", type=int, nargs="*", default=[FEW, MANY])
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--only", action="append", default=[], choices=list(commands(Path(), Path())))
    parser.add_argument("--fewest", action="store_true")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        folder = (arguments.keep or Path(made)).resolve()
        sizes = [
            Kept(folder, clients, 1 if arguments.fewest else None)
            for clients in sorted({HANDFUL, *arguments.clients})
        ]
        for one in sizes:
            one.measure(arguments.only)
        print_figures(sizes)
        for one in sizes:
            one.take_away()


if __name__ == "__main__":
    main()

"""Spoilt files for every reader, led by coverage: `python -m tests.faults.guided --kept FOLDER`.

It needs a fuzzer that the tests do not: `pip install atheris` (CPython on Linux). For each reader an input is kept
where it reached code that none before it did, and is spoilt further: its bytes, its lines, or the values in it. What
a reader gives other than what it read or a sentence is kept in FOLDER/finds; then the exit code is 1.
"""

import argparse
import hashlib
import importlib
import os
import pkgutil
import random
import re
import resource
import sys
import tempfile
import time
import traceback
from ctypes import Array, c_double
from multiprocessing.sharedctypes import RawArray
from pathlib import Path

import atheris  # type: ignore[import-untyped, import-not-found, unused-ignore]  # installed by whoever runs this

with atheris.instrument_imports(include=["coach", "tomllib", "zipfile"], enable_loader_override=False):
    import coach

    for module in pkgutil.walk_packages(coach.__path__, "coach."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    from coach.toml.diagnostic import FileFault
    from tests.faults.fuzz import MOST_MB, MOST_S, Reader, Seeds, readers
    from tests.faults.in_use import in_use
from tests.faults.reshaped import reshaped
from tests.faults.spoilt import spoilt

_LARGEST = 20_000  # bytes that the fuzzer may make of an input; limits of size have their own tests
_SLOWED = 3  # what is counted takes longer than what is not


class Guided:
    """One reader, told what it is to read by the fuzzer; whatever else than a refusal it gives is kept."""

    def __init__(self, read: Reader, folder: Path, finds: Path) -> None:
        self._read, self._path, self._finds = read, folder / "input.toml", finds
        self._before_mb = _peak_mb()
        # Inputs given, refused, and seconds of the slowest; shared, for the fuzzer ends its process without a word.
        self.told: Array[c_double] = RawArray(c_double, 3)

    def __call__(self, data: bytes) -> None:
        self._path.write_bytes(data)
        self.told[0] += 1
        began = time.process_time()
        try:
            self._read(self._path)
        except FileFault:
            self.told[1] += 1
        except BaseException as error:
            self._keep(data, _where(error), traceback.format_exc())
        took_s = time.process_time() - began
        self.told[2] = max(self.told[2], took_s)
        if took_s > MOST_S * _SLOWED:
            self._keep(data, "slow", f"{took_s:.2f} s")
        if _peak_mb() - self._before_mb > MOST_MB:
            self._keep(data, "large", f"{_peak_mb() - self._before_mb:.0f} MB more")

    def _keep(self, data: bytes, what: str, told: str) -> None:
        """The smallest input of each kind."""
        kept = self._finds / hashlib.sha256(what.encode()).hexdigest()[:12]
        if not kept.exists() or kept.stat().st_size > len(data):
            kept.write_bytes(data)
            kept.with_suffix(".txt").write_text(f"{what}\n{told}")


def _where(error: BaseException) -> str:
    """A kind of fault: what it is, and the last lines it came through."""
    lines = [f"{Path(at.filename).name}:{at.lineno}" for at in traceback.extract_tb(error.__traceback__)[-3:]]
    said = re.findall(r"A fault in the program.*", str(error))
    return " ".join((type(error).__name__, *lines, *said))


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _spoil(data: bytes, most: int, seed: int) -> bytes:
    chance = random.Random(seed)
    way = chance.random()
    changed = reshaped(data, chance) if way < 0.5 else spoilt(data or b"\n", chance) if way < 0.8 else data
    return (atheris.Mutate(data, most) if changed == data else changed)[:most]


def _one(name: str, good: bytes, guided: Guided, folder: Path, chosen: argparse.Namespace) -> None:
    """Fuzz one reader to the end of its inputs or its time; never returns."""
    (folder / "corpus").mkdir(parents=True, exist_ok=True)
    (folder / "corpus" / "good").write_bytes(good)
    words = [name, str(folder / "corpus"), f"-runs={chosen.inputs}", f"-max_total_time={chosen.seconds}",
             f"-seed={chosen.seed}", f"-max_len={max(_LARGEST, 2 * len(good))}", "-rss_limit_mb=0", "-len_control=0",
             "-mutate_depth=1"]  # fmt: skip
    os.dup2(os.open(folder / "log", os.O_WRONLY | os.O_CREAT | os.O_TRUNC), sys.stderr.fileno())
    try:
        atheris.Setup(words, guided, custom_mutator=_spoil)
        atheris.Fuzz()
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(1)  # nothing of the parent's is tidied away


def main() -> int:
    """0 where every reader read or said what is wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=2000)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    parser.add_argument("--kept", type=Path, required=True)
    chosen = parser.parse_args()
    (finds := chosen.kept / "finds").mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        seeds = Seeds(Path(scratch))
        every = {**readers(seeds), **in_use(seeds, Path(scratch))}
        for name, (good, read) in every.items():
            if chosen.only not in name:
                continue
            guided, folder = Guided(read, Path(scratch), finds), chosen.kept / re.sub(r"\W+", "_", name)
            if (child := os.fork()) == 0:
                _one(name, good, guided, folder, chosen)
            os.waitpid(child, 0)
            reached = re.findall(r"cov: (\d+)", (folder / "log").read_text(errors="replace"))
            given, refused, slowest_s = tuple(guided.told)
            told = f"{given:7.0f} inputs, {refused:7.0f} refused, {(reached or [0])[-1]:>5} places reached"
            print(f"{told}, slowest {slowest_s:.2f} s  {name}", flush=True)
    return 1 if any(finds.iterdir()) else 0


if __name__ == "__main__":
    sys.exit(main())

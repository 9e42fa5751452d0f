"""Kills and faults by the thousand: `python -m tests.faults.run --times 2000 --seed 1`.

Prints how often each fault struck, what was told and found; exit code 1 at the first thing lost.
"""

import argparse
import random
import shutil
import sys
import tempfile
from collections import Counter
from datetime import datetime, timedelta, timezone
from pathlib import Path

from tests.demo.pristine import DEMO
from tests.faults.driven import shipped
from tests.faults.lives import FAULTS, Life, Lost, ready

_TREE = Path(__file__).parent.parent.parent
_FIRST = datetime(2026, 11, 24, 18, 5, tzinfo=timezone(timedelta(hours=1)))
_STRIKES_A_LIFE = 12


def main() -> int:
    """0 where nothing was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=FAULTS, action="append")
    chosen = parser.parse_args()
    faults, chance, struck = chosen.only or FAULTS, random.Random(chosen.seed), Counter[str]()
    sessions, told = 0, 0
    shipped()
    ready()
    with tempfile.TemporaryDirectory() as scratch:
        while sum(struck.values()) < chosen.times:
            life = _born(Path(scratch) / "tern", chance)
            for _ in range(min(_STRIKES_A_LIFE, chosen.times - sum(struck.values()))):
                if life.in_review:
                    break
                fault = faults[sum(struck.values()) % len(faults)]
                try:
                    life.strike(fault)
                except Lost as lost:
                    print(f"{fault}, after {sum(struck.values())} faults: {lost}")
                    return 1
                struck[fault] += 1
            sessions += len(life.told)
            told += sum(len(entries) for entries in life.told.values())
    for fault in faults:
        print(f"{struck[fault]:6}  {fault}")
    print(f"{sum(struck.values()):6}  faults; {sessions} sessions, {told} entries on the disk; 0 lost, 0 unreadable")
    return 0


def _born(folder: Path, chance: random.Random) -> Life:
    """A client with nothing done yet."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(mode=0o700)
    for name in ("profile.toml", "prescription.toml"):
        shutil.copy(DEMO / "tern" / name, folder / name)
        (folder / name).chmod(0o600)
    return Life(folder, chance, _FIRST)


if __name__ == "__main__":
    sys.exit(main())

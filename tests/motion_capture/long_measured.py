"""Errors of what is measured, by position: `python -m tests.motion_capture.long_measured --sets 1000`.

The seeds from 200,000 on were not used while the reading was built.
"""

import argparse
from collections import defaultdict

import numpy as np

from coach.motion_capture.analysis import analyse
from coach.motion_capture.results import Estimate, Found
from tests.motion_capture.simulated import Person, Simulated, simulate

FRESH = 200_000
POSITIONS = ("0", "45", "90")
LOST_DEG, DRIFT_DEG = 15.0, 10.0
_Z90 = 1.645


def person_of(seed: int) -> Person:
    """One of a thousand people: position, side, range lost, elbow drift and hurry take their turns."""
    chance = np.random.default_rng(seed)
    return Person(
        position=POSITIONS[seed % 3],
        side=("right", "left")[seed // 3 % 2],
        repetitions=int(chance.integers(8, 13)),
        lost_deg=(0.0, LOST_DEG)[seed // 6 % 2],
        drift_deg=(0.0, DRIFT_DEG)[seed // 12 % 2],
        lifts_deg=(0.0, DRIFT_DEG)[seed // 24 % 2] if POSITIONS[seed % 3] == "45" else 0.0,
        hurried=float(chance.choice([1.0, 1.0, 0.6, 0.35])),
        turned=bool(chance.integers(2)),
    )


class Tally:
    """Errors and coverage by what was measured and where."""

    def __init__(self) -> None:
        self.errors: defaultdict[tuple[str, str], list[tuple[float, float]]] = defaultdict(list)
        self.called: defaultdict[tuple[str, str, bool], list[bool]] = defaultdict(list)
        self.counts: list[int] = []

    def add(self, person: Person, made: Simulated, found: Found) -> None:
        """One set; a set that was not found, or found in parts, counts as a miscount only."""
        if len(found.sets) != 1 or len(found.sets[0].repetitions) != len(made.repetitions):
            self.counts.append(sum(one.count for one in found.sets) - len(made.repetitions) or 99)
            return
        one = found.sets[0]
        self.counts.append(one.count - len(made.repetitions))
        for seen, true in zip(one.repetitions, made.repetitions, strict=True):
            for name in ("out_s", "hold_s", "back_s", "relax_s", "range_deg"):
                estimate: Estimate | None = getattr(seen, name)
                is_last = name == "relax_s" and true is made.repetitions[-1]
                if estimate is not None and not is_last:
                    self.errors[person.position, name].append((estimate.value - getattr(true, name), estimate.u))
        if found.unloaded is not None and found.unloaded.range_deg and one.range_deg:
            lost = found.unloaded.range_deg.value - one.range_deg.value
            self.called[person.position, "range lost", person.lost_deg > 0].append(lost > LOST_DEG / 2)
        if one.elbow_drift_deg is not None:
            drift = one.elbow_drift_deg
            self.errors[person.position, "drift_deg"].append((drift.value - person.drift_deg, drift.u))
            self.called[person.position, "elbow drift", person.drift_deg > 0].append(drift.value > DRIFT_DEG / 2)
        if one.elbow_within_deg is not None:
            within = one.elbow_within_deg
            whole = float(np.mean([true.range_deg for true in made.repetitions])) / made.unloaded_deg
            self.errors[person.position, "within_deg"].append((within.value - whole * person.lifts_deg, within.u))
            self.called[person.position, "within a repetition", person.lifts_deg > 0].append(
                within.value > DRIFT_DEG / 2
            )

    def coverage(self, name: str) -> float:
        """The part of the errors that the stated 90 % intervals hold, over all positions."""
        every = [one for (_, what), errors in self.errors.items() if what == name for one in errors]
        return float(np.mean([abs(error) <= _Z90 * u for error, u in every]))

    def rate(self, name: str, is_there: bool, calls: bool) -> float:
        """Of the sets with or without it, the part that is called so, over all positions."""
        every = [
            one for (_, what, there), all_ in self.called.items() if (what, there) == (name, is_there) for one in all_
        ]
        return float(np.mean([one is calls for one in every]))

    def lines(self) -> list[str]:
        """The table."""
        exact = sum(count == 0 for count in self.counts)
        rows = [f"{len(self.counts)} sets, {exact} counted exactly"]
        rows.append(
            f"{'':12}" + "".join(f"{f'at {position}: mean, sd':>24}" for position in POSITIONS) + "  90 % holds"
        )
        for name in ("out_s", "hold_s", "back_s", "relax_s", "range_deg", "drift_deg", "within_deg"):
            cells = ""
            for position in POSITIONS:
                errors = np.array([error for error, _ in self.errors[position, name]] or [np.nan])
                cells += f"{f'{errors.mean():+.2f}, {errors.std():.2f}':>24}"
            rows.append(f"{name:12}{cells}  {self.coverage(name):10.2f}")
        for name in ("range lost", "elbow drift", "within a repetition"):
            found, clear = self.rate(name, True, True), self.rate(name, False, False)
            rows.append(f"{name}: sensitivity {found:.3f}, specificity {clear:.3f}")
        return rows


def tally(seeds: range) -> Tally:
    """The tally of these seeds."""
    made = Tally()
    for seed in seeds:
        person = person_of(seed)
        simulated = simulate(person, seed)
        made.add(person, simulated, analyse(simulated.recording, simulated.asked))
    return made


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sets", type=int, default=1000)
    parser.add_argument("--first", type=int, default=FRESH)
    given = parser.parse_args()
    print("\n".join(tally(range(given.first, given.first + given.sets)).lines()))


if __name__ == "__main__":
    main()

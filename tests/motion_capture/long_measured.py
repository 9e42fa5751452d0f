"""Errors of what is measured, by position: `python -m tests.motion_capture.long_measured --sets 1000`.

The seeds from 200,000 on were not used while the reading was built.
"""

import argparse
import math
from collections import defaultdict

import numpy as np

from coach.motion_capture.analysis import analyse
from coach.motion_capture.results import Estimate, Found
from tests.motion_capture.simulated import Person, Simulated, Window, simulate

FRESH = 200_000
POSITIONS = ("0", "45", "90")
LOST_DEG, DRIFT_DEG = 15.0, 10.0
_Z90 = 1.645
_NO_SET = 99


def person_of(seed: int) -> Person:
    """One of a thousand people: position, side, range lost and elbow drift take their turns, the rest is drawn.

    Half of the recordings hold everything; two in five people hurry, and one in four each halts on the way, goes part
    of the way in up to two repetitions, and lifts the elbow in all or in some.
    """
    chance = np.random.default_rng(seed)
    repetitions, hurried = int(chance.integers(8, 13)), float(chance.choice([1.0, 1.0, 1.0, 0.6, 0.35]))
    some, others = (tuple(chance.choice(repetitions, size=number, replace=False).tolist()) for number in (2, 3))
    return Person(
        position=POSITIONS[seed % 3],
        side=("right", "left")[seed // 3 % 2],
        repetitions=repetitions,
        lost_deg=(0.0, LOST_DEG)[seed // 6 % 2],
        drift_deg=(0.0, DRIFT_DEG)[seed // 12 % 2],
        lifts_deg=float(chance.choice([0.0, 0.0, 0.0, DRIFT_DEG])),
        lifts_in=others if chance.random() < 0.5 else None,
        hurried=hurried,
        turned=bool(chance.integers(2)),
        jerky=chance.random() < 0.25,
        cheated=some[: int(chance.integers(1, 3))] if chance.random() < 0.25 else (),
        window="whole" if chance.random() < 0.5 else _PARTS[chance.integers(len(_PARTS))],
    )


_PARTS: tuple[Window, ...] = ("no_still_start", "no_unloaded", "begins_within", "ends_within", "both_within")


class Tally:
    """Errors and coverage by what was measured and where."""

    def __init__(self) -> None:
        self.errors: defaultdict[tuple[str, str], list[tuple[float, float]]] = defaultdict(list)
        self.called: defaultdict[tuple[str, str, bool], list[bool]] = defaultdict(list)
        self.counts: defaultdict[str, list[int]] = defaultdict(list)

    def add(self, person: Person, made: Simulated, found: Found) -> None:
        """One set; a set that was not found, or found in parts, counts as a miscount only."""
        if len(found.sets) != 1:
            self.counts[person.window].append(_NO_SET)
            return
        one, whole = found.sets[0], made.unloaded_deg
        self.counts[person.window].append(one.count - len(made.repetitions))
        begins = np.array([true.began_s for true in made.repetitions])
        for seen in one.repetitions:
            number = int(np.searchsorted(begins, seen.began_s + seen.out_s.value / 2)) - 1
            true = made.repetitions[max(number, 0)]
            for name in ("out_s", "hold_s", "back_s", "relax_s", "range_deg"):
                self._compare(person.position, name, getattr(seen, name), getattr(true, name))
        if found.unloaded is not None and found.unloaded.range_deg and one.range_deg:
            lost = found.unloaded.range_deg.value - one.range_deg.value
            truly = whole - float(np.mean([true.range_deg for true in made.repetitions]))
            self.called[person.position, "range lost", truly > LOST_DEG / 2].append(lost > LOST_DEG / 2)
        self._compare(person.position, "drift_deg", one.elbow_drift_deg, made.drift_deg)
        if one.elbow_drift_deg is not None:
            self.called[person.position, "elbow drift", person.drift_deg > 0].append(
                one.elbow_drift_deg.value > DRIFT_DEG / 2
            )
        lifted = float(np.mean([true.lifted_deg for true in made.repetitions]))
        if one.elbow_within_deg is not None:
            reading = one.elbow_within_deg.u**2 - made.asked.limits["u_measured_within_deg"] ** 2
            read = Estimate(one.elbow_within_deg.value, math.sqrt(max(reading, 0.0)))
            self._compare(person.position, "within_deg", read, lifted)
            self.called[person.position, "within a repetition", lifted > DRIFT_DEG / 2].append(
                one.elbow_within_deg.value > DRIFT_DEG / 2
            )

    def _compare(self, position: str, name: str, seen: Estimate | None, true: float) -> None:
        if seen is not None:
            self.errors[position, name].append((seen.value - true, seen.u))

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
        rows = [f"{sum(map(len, self.counts.values()))} sets"]
        for window, counts in sorted(self.counts.items()):
            exact, near = (sum(abs(count) <= most for count in counts) for most in (0, 1))
            rows.append(f"{window:16}{len(counts):5}, counted exactly {exact}, within one {near}")
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

"""How often eight rises in a row hold one that is truly a fall, over random shelves.

Run: python -m tests.mechanics.walks_of_rises [--shelves 300] [--draws 100] [--seed 1]

Each shelf is one random client, and each draw of the whole model is one life: the errors of tape, body and bands
last for that life, and the feet stand again for each step. A walk begins at a step from the lower half of the ladder.
One that finds no next step ends there and is not counted among the walks of eight.
"""

import argparse
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from coach.mechanics.anchor_placement import place_anchor
from coach.mechanics.ladder import Ladder, build_ladder, rungs
from coach.model.load_step import LoadStep
from coach.model.no_session import NoSession
from tests.mechanics.clients import LIMITS, prescription
from tests.mechanics.monte_carlo import mean_torques
from tests.mechanics.random_clients import random_clients

RISES = 8
Choice = Callable[[Ladder, LoadStep], LoadStep | None]


def lowest_heavier(ladder: Ladder, step: LoadStep) -> LoadStep | None:
    """The lightest step heavier by load_rise_min or more, on whatever band, however large the rise."""
    return next((other for other in ladder.steps if other.mean_nm >= step.mean_nm * (1 + _LEAST)), None)


def lowest_in_window(ladder: Ladder, step: LoadStep) -> LoadStep | None:
    """The same, but only where the rise is at most load_rise_max."""
    found = lowest_heavier(ladder, step)
    return found if found is not None and found.mean_nm <= step.mean_nm * (1 + LIMITS["load_rise_max"]) else None


def same_band_first(ladder: Ladder, step: LoadStep) -> LoadStep | None:
    """The lowest in the window on the same band with as many strands, else on another."""
    least_nm, most_nm = (step.mean_nm * (1 + LIMITS[name]) for name in ("load_rise_min", "load_rise_max"))
    inside = [other for other in ladder.steps if least_nm <= other.mean_nm <= most_nm]
    same = (other for other in inside if (other.grade, other.strands) == (step.grade, step.strands))
    return next(same, inside[0] if inside else None)


def as_shipped(ladder: Ladder, step: LoadStep) -> LoadStep | None:
    """The smallest rise of the program: the same band first, and heavier as surely as the limits want."""
    return rungs(ladder, step).next_step


_LEAST = LIMITS["load_rise_min"]
CHOICES: Mapping[str, Choice] = {
    "lowest heavier": lowest_heavier,
    "lowest in the window": lowest_in_window,
    "same band first": same_band_first,
    "as shipped": as_shipped,
}


@dataclass(frozen=True)
class Walks:
    """The walks of one choice: how many began, how many had eight rises, and the lives of these with a true fall."""

    begun: int
    whole: int
    lives: int
    fallen: int

    @property
    def share(self) -> float:
        """The share of lives whose walk of eight rises holds a true fall."""
        return self.fallen / self.lives


def walk(ladder: Ladder, start: LoadStep, choice: Choice) -> tuple[LoadStep, ...]:
    """The steps of at most eight rises, the first one included."""
    steps = [start]
    while len(steps) <= RISES:
        after = choice(ladder, steps[-1])
        if after is None:
            break
        steps.append(after)
    return tuple(steps)


def walks(shelves: int, draws: int, seed: int) -> dict[str, Walks]:
    """The walks of each choice over the same shelves, from the same steps, in the same lives."""
    plan, chance = prescription(), random.Random(seed)
    counted = {name: [0, 0, 0, 0] for name in CHOICES}
    for client, position in random_clients(seed, shelves):
        try:
            ladder = build_ladder(client, plan, position, LIMITS)
        except NoSession:
            continue
        start, life = ladder.steps[chance.randrange((len(ladder.steps) + 1) // 2)], chance.randrange(2**32)
        anchor = place_anchor(client, plan, position, LIMITS).anchor
        for name, choice in CHOICES.items():
            steps = walk(ladder, start, choice)
            counted[name][0] += 1
            if len(steps) <= RISES:
                continue
            true = mean_torques(client, position, anchor, steps, LIMITS, draws, life)
            fallen = int((np.diff(true, axis=0) < 0).any(axis=0).sum())
            for place, number in ((1, 1), (2, draws), (3, fallen)):
                counted[name][place] += number
    return {name: Walks(*numbers) for name, numbers in counted.items()}


def main() -> None:
    """Print a line for each choice."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shelves", type=int, default=300)
    parser.add_argument("--draws", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    for name, found in walks(chosen.shelves, chosen.draws, chosen.seed).items():
        print(f"{name}: {found.whole} of {found.begun} walks had eight rises; {found.share:.0%} of lives held a fall")


if __name__ == "__main__":
    main()

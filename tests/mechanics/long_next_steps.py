"""How often a next step is truly heavier, over random shelves: what is stated beside what is drawn.

Run: python -m tests.mechanics.long_next_steps [--shelves 5000] [--draws 400] [--seed 1]

Each shelf is one random client; one step of its ladder is taken by chance. Its next step is compared with it in draws
of the whole model, each step on a day of its own.
"""

import argparse
import random
import statistics
from collections import Counter, defaultdict

import numpy as np

from coach.mechanics.anchor_placement import place_anchor
from coach.mechanics.ladder import build_ladder, rungs
from coach.model.no_session import NoSession
from tests.mechanics.clients import LIMITS, prescription
from tests.mechanics.monte_carlo import mean_torques
from tests.mechanics.random_clients import random_clients


def main() -> None:
    """Print, for the same band and for another: how many, what was stated and what was true; and why none."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shelves", type=int, default=5000)
    parser.add_argument("--draws", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    stated, true = defaultdict[str, list[float]](list), defaultdict[str, list[float]](list)
    none, plan, chance, most_rise = Counter[str](), prescription(), random.Random(chosen.seed), 0.0
    for client, position in random_clients(chosen.seed, chosen.shelves):
        try:
            ladder = build_ladder(client, plan, position, LIMITS)
        except NoSession:
            none["no ladder"] += 1
            continue
        step = chance.choice(ladder.steps)
        here = rungs(ladder, step)
        anchor = place_anchor(client, plan, position, LIMITS).anchor
        pairs = [("easier", here.easier, here.easier_chance)]
        if here.next_step is None:
            none[str(here.no_next)] += 1
        else:
            same = (here.next_step.grade, here.next_step.strands) == (step.grade, step.strands)
            pairs.append(("same band" if same else "another band", here.next_step, here.next_chance))
            most_rise = max(most_rise, (here.next_largest or here.next_step).mean_nm / step.mean_nm - 1)
        for kind, other, said in pairs:
            if other is None or said is None:
                none[f"no {kind}"] += 1
                continue
            seed = chance.randrange(2**32)
            drawn = mean_torques(client, position, anchor, (step, other), LIMITS, chosen.draws, seed)
            heavier = drawn[0] > drawn[1] if kind == "easier" else drawn[1] > drawn[0]
            stated[kind].append(said)
            true[kind].append(float(np.mean(heavier)))
    for kind, chances in stated.items():
        lowest = float(np.quantile(true[kind], 0.05))
        print(
            f"{kind}: {len(chances)} steps, stated {statistics.fmean(chances):.3f} on average, true "
            f"{statistics.fmean(true[kind]):.3f}, the lowest twentieth below {lowest:.3f}"
        )
    print(f"largest rise {most_rise:.3f}; none because: {dict(none)}")


if __name__ == "__main__":
    main()

"""Stated intervals and chances against 20,000 draws, over the demo clients and fifty random ones.

Run: python -m tests.mechanics.long_uncertainty [--draws 20000] [--clients 50] [--seed 3]
"""

import argparse
import statistics

from tests.mechanics.uncertainty_cases import check, demo_cases, random_cases


def main() -> None:
    """Print a line for each ladder, then how many hold."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=20_000)
    parser.add_argument("--clients", type=int, default=50)
    parser.add_argument("--seed", type=int, default=3)
    chosen = parser.parse_args()
    held = []
    for case in (*demo_cases(), *random_cases(chosen.seed, chosen.clients)):
        one = check(case, chosen.draws)
        held.append(one)
        low, high, error = min(one.coverage), max(one.coverage), max(one.chance_errors)
        middle = statistics.median(one.coverage)
        print(f"{one.name:18} holds {low:.3f} to {high:.3f} (median {middle:.3f}), chance out by {error:.3f} at most")
    good, close = sum(one.holds for one in held), sum(max(one.chance_errors) < 0.03 for one in held)
    print(
        f"{good} of {len(held)} ladders hold 86 to 93 % at every step; chances within 0.03 on {close} of {len(held)}"
    )


if __name__ == "__main__":
    main()

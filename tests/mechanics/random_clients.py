"""Invented clients of every build, with shelves and rooms of every kind, for checks over many of them."""

import random
from collections.abc import Iterator

from coach.model.band import BandGrade, BandPoint
from coach.model.exercise import Position
from coach.model.profile import Home, Lengths, Profile
from tests.mechanics.clients import AT_0_WITH_GAP, AT_45, AT_90, INTERNAL_AT_0_WITH_GAP
from tests.published.tables import FLAT_BAND_N

POSITIONS = (AT_0_WITH_GAP, AT_45, AT_90, INTERNAL_AT_0_WITH_GAP)


def random_band(name: str, strength: float, chance: random.Random, points: int | None = None) -> BandGrade:
    """A band like the published one, `strength` times as strong, read at 1 to 6 lengths on a scale that is out."""
    rest = chance.choice((0.6, 0.8, 1.0, 1.2, 1.5, 2.0))
    lengths = chance.sample(sorted(FLAT_BAND_N), points or chance.choice((1, 2, 3, 4, 5, 6)))
    read = [
        BandPoint(
            length_m=round(rest * (1 + percent / 100), 3),
            force_n=round(max(FLAT_BAND_N[percent] * strength + chance.gauss(0, 0.5), 0.5), 1),
        )
        for percent in sorted(lengths)
    ]
    return BandGrade(name=name, looks=f"the {name} one", resting_length_m=rest, points=tuple(read))


def random_client(chance: random.Random) -> tuple[Profile, Position]:
    """One client with two to four bands, in one of the four positions; the ladder may be empty."""
    stature = chance.uniform(1.50, 1.95)
    names = ("light", "medium", "heavy", "stout")[: chance.choice((2, 3, 4))]
    first = chance.uniform(0.3, 0.8)
    bands = tuple(
        random_band(name, first * chance.uniform(1.25, 1.4) ** number, chance) for number, name in enumerate(names)
    )
    nearest = chance.choice((40, 60, 80))
    home = Home(
        anchor_heights_cm=tuple(sorted(chance.sample((0, 30, 60, 90, 105, 120, 140, 180), 3))),
        nearest_cm=nearest,
        farthest_cm=nearest + chance.choice((40, 100, 200)),
        mark_every_cm=chance.choice((5, 10)),
        strands=chance.choice(((1,), (1, 2))),
    )
    profile = Profile(
        format=1,
        name="invented",
        side=chance.choice(("left", "right")),
        stature_m=round(stature, 2),
        mass_kg=round(chance.uniform(50, 100), 1),
        fractions=chance.choice(("women", "men", "both")),
        lengths=Lengths(grip_lever_m=round(0.197 * stature, 3)) if chance.random() < 0.5 else Lengths(),
        home=home,
        bands=bands,
    )
    return profile, chance.choice(POSITIONS)


def random_clients(seed: int, count: int) -> Iterator[tuple[Profile, Position]]:
    """So many of them, the same for the same seed."""
    chance = random.Random(seed)
    return (random_client(chance) for _ in range(count))

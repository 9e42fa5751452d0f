"""Figures that could tell who somebody is are left out: those of a few people, and those from which these follow."""

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

_Key = TypeVar("_Key")


def shown_counts(counts: Mapping[_Key, int], least: float) -> dict[_Key, int | None]:
    """The parts of one whole; None for those that are left out.

    A part of 1 to below `least` is left out. If that is one part alone, it would follow from the whole and the
    others, so the smallest of these is left out too.
    """
    hidden = {key for key, count in counts.items() if 0 < count < least}
    if len(hidden) == 1:
        others = [key for key, count in counts.items() if count and key not in hidden]
        hidden |= set(sorted(others, key=lambda key: counts[key])[:1])
    return {key: None if key in hidden else count for key, count in counts.items()}


def coarse_curve(counts: Mapping[int, int], least: float) -> tuple[tuple[int, int], ...]:
    """How many have at least each value, from the lowest: only where enough fewer are left that nobody stands out."""
    return tuple(_coarse(sorted(counts), counts, least))


def _coarse(values: Sequence[int], counts: Mapping[int, int], least: float) -> Iterator[tuple[int, int]]:
    left = told = sum(counts.values())
    for number, value in enumerate(values):
        fewer = told - left
        if number == 0 or (fewer >= least and left >= least):
            told = left
            yield value, left
        left -= counts[value]

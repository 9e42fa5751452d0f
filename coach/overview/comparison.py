"""Two lists of lines compared line by line: a session as it is, and as it would be."""

from collections.abc import Sequence
from difflib import SequenceMatcher
from itertools import zip_longest
from typing import Literal

from msgspec import Struct

LineMark = Literal["same", "changed", "gone", "new", "noted"]


class LinePair(Struct, frozen=True):
    """A line before and the line in its place after; empty where there is none.

    `noted`: the two are shown beside each other, and neither differs from the other in what matters.
    """

    mark: LineMark
    before: str
    after: str


class ComparisonPart(Struct, frozen=True):
    """One part of a comparison, under its title."""

    title: str
    pairs: tuple[LinePair, ...]


def compare(before: Sequence[str], after: Sequence[str]) -> tuple[LinePair, ...]:
    """Pair every line of both lists, in order, with as few differing pairs as possible.

    Without the pairs marked "new" the left lines are `before`; without those marked "gone" the right are `after`.
    """
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    pairs: list[LinePair] = []
    for kind, first, last, first_after, last_after in matcher.get_opcodes():
        for line, other in zip_longest(before[first:last], after[first_after:last_after]):
            pairs.append(_pair(kind == "equal", line, other))
    return tuple(pairs)


def _pair(same: bool, line: str | None, other: str | None) -> LinePair:
    if line is None or other is None:
        return LinePair("new" if line is None else "gone", line or "", other or "")
    return LinePair("same" if same else "changed", line, other)


def differs(pairs: Sequence[LinePair]) -> bool:
    """Whether any pair differs."""
    return any(pair.mark != "same" for pair in pairs)

"""Two lists of lines beside each other, with what differs marked: a session as it is, and as it would be."""

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import zip_longest
from typing import Literal

Mark = Literal["same", "changed", "gone", "new"]


@dataclass(frozen=True)
class Pair:
    """A line before and the line that stands in its place after; empty where there is none."""

    mark: Mark
    before: str
    after: str


@dataclass(frozen=True)
class Part:
    """One part of a comparison, under its title."""

    title: str
    pairs: tuple[Pair, ...]


def compare(before: Sequence[str], after: Sequence[str]) -> tuple[Pair, ...]:
    """Every line of both, in order, in as few differing pairs as the lines allow.

    The pairs that are not new give `before` again, those that are not gone give `after`.
    """
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    pairs: list[Pair] = []
    for kind, first, last, first_after, last_after in matcher.get_opcodes():
        for line, other in zip_longest(before[first:last], after[first_after:last_after]):
            pairs.append(_pair(kind == "equal", line, other))
    return tuple(pairs)


def _pair(same: bool, line: str | None, other: str | None) -> Pair:
    if line is None or other is None:
        return Pair("new" if line is None else "gone", line or "", other or "")
    return Pair("same" if same else "changed", line, other)


def differs(pairs: Sequence[Pair]) -> bool:
    """Whether anything does."""
    return any(pair.mark != "same" for pair in pairs)

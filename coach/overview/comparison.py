"""Two lists of lines compared line by line: a session as it is, and as it would be."""

from collections import Counter
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher
from typing import Literal

from msgspec import Struct

LineMark = Literal["same", "changed", "gone", "new", "noted"]


_WAYS: tuple[LineMark, ...] = ("changed", "gone", "new")
_LEFT, _RIGHT = 1, 2  # places in _WAYS: a line of one side alone
# Of lines to compare with each other. Our own choice, no source: as many of a hundred characters took two thirds of a
# second (measured), and nobody should wait longer for a page.
_MOST_PAIRS = 2500
# Two lines with at least this ratio are one line that changed. Our own choice, after the rule of thumb of `difflib`:
# over 0.6 they are close matches (documentation of SequenceMatcher).
_ALIKE = 0.6


class LinePair(Struct, frozen=True):
    """A line before and the line in its place after; empty where there is none.

    `noted`: the two are shown beside each other, and nothing changed between them.
    """

    mark: LineMark
    before: str
    after: str


class ComparisonPart(Struct, frozen=True):
    """One part of a comparison, under its title."""

    title: str
    pairs: tuple[LinePair, ...]


def compare(before: Sequence[str], after: Sequence[str]) -> tuple[LinePair, ...]:
    """Pair the lines of both lists, in order.

    Lines that differ are paired only if they are of one kind: they begin with the same word, or are much alike.
    Without the pairs marked "new" the left lines are `before`; without those marked "gone" the right are `after`.
    """
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    pairs: list[LinePair] = []
    for kind, first, last, first_after, last_after in matcher.get_opcodes():
        lines, others = before[first:last], after[first_after:last_after]
        if kind == "equal":
            pairs += [LinePair("same", line, line) for line in lines]
        else:
            pairs += _differing(lines, others)
    return tuple(pairs)


def _differing(lines: Sequence[str], others: Sequence[str]) -> list[LinePair]:
    """The lines that differ: those of one kind beside each other, the rest with nothing on the other side."""
    if len(lines) * len(others) <= _MOST_PAIRS:
        return _aligned(lines, others)
    pairs: list[LinePair] = []
    at = at_other = 0
    for same, same_other, size in _with_a_word_of_their_own(lines, others):
        left, right = lines[at:same], others[at_other:same_other]
        if len(left) * len(right) <= _MOST_PAIRS:
            pairs += _aligned(left, right)
        else:
            pairs += [
                *(LinePair("gone", line, "") for line in left),
                *(LinePair("new", "", other) for other in right),
            ]
        at, at_other = same + size, same_other + size
        both = zip(lines[same:at], others[same_other:at_other], strict=True)
        pairs += [LinePair("changed", line, other) for line, other in both]
    return pairs


def _with_a_word_of_their_own(lines: Sequence[str], others: Sequence[str]) -> Iterable[tuple[int, int, int]]:
    """Where lines begin with a word that no other line of either side begins with, such as the key of a message.

    As `get_matching_blocks` gives them: places in both, and how many lines there are from there on.
    """
    words, other_words = ([_first_word(one) for one in some] for some in (lines, others))
    counts, other_counts = Counter(words), Counter(other_words)
    once = {word for word in words if counts[word] == other_counts[word] == 1}
    left, right = (
        [word if word in once else f"{number} {side}" for number, word in enumerate(some)]
        for side, some in (("left", words), ("right", other_words))
    )
    return SequenceMatcher(None, left, right, autojunk=False).get_matching_blocks()


def _aligned(lines: Sequence[str], others: Sequence[str]) -> list[LinePair]:
    """The lines in order, with the most alike beside each other."""
    # For each place in both: how alike the pairs from there on can be, and what to do first.
    best: dict[tuple[int, int], tuple[float, int]] = {}
    for at in range(len(lines), -1, -1):
        for at_other in range(len(others), -1, -1):
            if at == len(lines) or at_other == len(others):
                best[at, at_other] = 0.0, _LEFT if at < len(lines) else _RIGHT
                continue
            alike = _alike(lines[at], others[at_other])
            paired = alike + best[at + 1, at_other + 1][0] if alike else -1.0
            ways = (paired, best[at + 1, at_other][0], best[at, at_other + 1][0])
            best[at, at_other] = max(ways), ways.index(max(ways))
    at = at_other = 0
    pairs: list[LinePair] = []
    while at < len(lines) or at_other < len(others):
        way = best[at, at_other][1]
        line = lines[at] if way != _RIGHT else ""
        other = others[at_other] if way != _LEFT else ""
        pairs.append(LinePair(_WAYS[way], line, other))
        at, at_other = at + (way != _RIGHT), at_other + (way != _LEFT)
    return pairs


def _alike(line: str, other: str) -> float:
    """How much two lines are alike, from 0 to 1; 0 if they are not of one kind."""
    ratio = SequenceMatcher(None, line, other, autojunk=False).ratio()
    return ratio if _first_word(line) == _first_word(other) or ratio >= _ALIKE else 0.0


def _first_word(line: str) -> str:
    return line.partition(" ")[0]


def differs(pairs: Sequence[LinePair]) -> bool:
    """Whether any pair differs."""
    return any(pair.mark != "same" for pair in pairs)

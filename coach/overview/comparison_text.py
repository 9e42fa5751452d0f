"""A comparison as lines of text in two columns, with a mark between where they differ."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, zip_longest
from textwrap import wrap

from coach.model.message_format import fill
from coach.overview.comparison import Mark, Part, differs

MARKS: dict[Mark, str] = {"same": " ", "changed": "!", "gone": "<", "new": ">"}
_GAP = 3  # a mark with a space on each side


@dataclass(frozen=True)
class Headings:
    """What stands above the columns, and how lines alike are counted: {lines} of them."""

    before: str
    after: str
    alike: str


def compare_lines(parts: Sequence[Part], headings: Headings, width: int) -> list[str]:
    """Side by side, at most `width` columns: ! changed, < only before, > only after; lines alike are counted.

    Empty where nothing differs.
    """
    differing = [part for part in parts if differs(part.pairs)]
    lines = _beside(headings.before, " ", headings.after, width) if differing else []
    for part in differing:
        title = wrap(part.title, width)
        lines += ["", *title, "-" * max(map(len, title)), *_part_lines(part, headings, width)]
    return lines


def _part_lines(part: Part, headings: Headings, width: int) -> Iterator[str]:
    for same, pairs in groupby(part.pairs, key=lambda pair: pair.mark == "same"):
        together = list(pairs)
        if same:
            yield f"  ({fill(headings.alike, {'lines': len(together)})})"
        else:
            for pair in together:
                yield from _beside(pair.before, MARKS[pair.mark], pair.after, width)


def _beside(before: str, mark: str, after: str, width: int) -> list[str]:
    """Two texts in two columns with a mark between."""
    column = (width - _GAP) // 2
    rows = zip_longest(wrap(before, column) or [""], wrap(after, column) or [""], fillvalue="")
    return [f"{one:<{column}} {mark} {other}".rstrip() for one, other in rows]

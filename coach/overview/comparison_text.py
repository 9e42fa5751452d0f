"""A comparison as text in two columns, with a mark between lines that differ."""

from collections.abc import Iterator, Sequence
from itertools import groupby, zip_longest
from textwrap import wrap

from msgspec import Struct

from coach.model.message_format import fill
from coach.overview.comparison import ComparisonPart, LineMark, differs

MARKS: dict[LineMark, str] = {"same": " ", "changed": "!", "gone": "<", "new": ">", "noted": " "}
_GAP = 3  # a mark with a space on each side


class ComparisonHeadings(Struct, frozen=True):
    """The headings of the columns, and the line that counts equal lines, with the placeholder {lines}."""

    before: str
    after: str
    alike: str


def comparison_lines(parts: Sequence[ComparisonPart], headings: ComparisonHeadings, width: int) -> list[str]:
    """The parts that differ, side by side in at most `width` columns; empty if nothing differs.

    A mark stands between the columns: ! changed, < only before, > only after. Equal lines are counted, not shown.
    """
    differing = [part for part in parts if differs(part.pairs)]
    lines = _side_by_side(headings.before, " ", headings.after, width) if differing else []
    for part in differing:
        title = wrap(part.title, width)
        lines += ["", *title, "-" * max(map(len, title)), *_part_lines(part, headings, width)]
    return lines


def _part_lines(part: ComparisonPart, headings: ComparisonHeadings, width: int) -> Iterator[str]:
    for same, pairs in groupby(part.pairs, key=lambda pair: pair.mark == "same"):
        together = list(pairs)
        if same:
            yield f"  ({fill(headings.alike, {'lines': len(together)})})"
        else:
            for pair in together:
                yield from _side_by_side(pair.before, MARKS[pair.mark], pair.after, width)


def _side_by_side(before: str, mark: str, after: str, width: int) -> list[str]:
    """Two texts, wrapped in two columns with a mark between."""
    column = (width - _GAP) // 2
    rows = zip_longest(wrap(before, column) or [""], wrap(after, column) or [""], fillvalue="")
    return [f"{one:<{column}} {mark} {other}".rstrip() for one, other in rows]

"""Numbers of a drawing in large digits, four rows high, to be read from where the client stands.

They are made of half blocks, which are in every set of signs.
"""

import re
from collections.abc import Mapping

from coach.drawing.letter_shapes import LETTERS
from coach.drawing.shapes import LabelName

LARGE_LABELS: tuple[LabelName, ...] = ("distance", "height", "place", "underfoot")
"""The labels that a client has to read from a few steps away."""

_HALVES = {"..": " ", "#.": "▀", ".#": "▄", "##": "█"}


def large_blocks(words: Mapping[LabelName, str]) -> dict[LabelName, tuple[str, ...]]:
    """The rows of each label that is drawn large: what comes before its number above it, what follows beside it."""
    numbers = {name: re.fullmatch(r"(\D*)(\d+)(.*)", words.get(name, "")) for name in LARGE_LABELS}
    return {name: _block(*found.groups()) for name, found in numbers.items() if found}


def _block(above: str, number: str, unit: str) -> tuple[str, ...]:
    dots = [".".join(rows) for rows in zip(*(LETTERS[digit] for digit in number), strict=True)]
    dots.insert(0, "." * len(dots[0]))  # an even number of rows, with the foot of the digits on the last one
    pairs = zip(dots[::2], dots[1::2], strict=True)
    rows = ["".join(_HALVES[upper + lower] for upper, lower in zip(*pair, strict=True)) for pair in pairs]
    words = unit.split()[-len(rows) :]
    wide = max((len(word) for word in words), default=-1) + 1
    beside = [""] * (len(rows) - len(words)) + [f" {word}" for word in words]
    block = [row + text.ljust(wide) for row, text in zip(rows, beside, strict=True)]
    if above:
        block.insert(0, above.strip())
    columns = max(map(len, block))
    return tuple(row.ljust(columns) for row in block)

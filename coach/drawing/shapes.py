"""The elements of a drawing: strokes and labels on a page, in metres."""

import math
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

PagePoint = tuple[float, float]
"""A point of the page: to the right and upward, in metres."""

Side = Literal["left", "right"]

Role = Literal[
    "trunk",
    "feet",
    "head",
    "blade",
    "should",
    "ground",
    "path",
    "band_start",
    "arm_start",
    "band_end",
    "arm_end",
    "band_now",
    "arm_now",
    "facing",
    "mark",
    "measure",
    "reach",
    "moved",
    "anchor",
    "spread",
    "curve_dotted",
    "curve_dashed",
    "curve",
]
"""What a stroke shows. `path` is the path of the hand, `reach` the line that the hand has to reach, `facing` an arrow
that says which way to face or to move, `measure` a length with its ends; `blade` is the shoulder blade, `should` the
arm where it belongs, `moved` the way from there of a part that went wrong; the last four are those of plots, where
`spread` is how well a number is known."""

LabelName = Literal[
    "anchor", "underfoot", "mark", "start", "end", "facing", "distance", "height", "place", "in_front", "line", "part"
]
NO_LABEL_TEXTS: Mapping[LabelName, str] = MappingProxyType({})
"""For drawings whose labels show their names."""


# The head of an arrow: lines across it, and half its width as a share of its length.
_HEAD_LINES, _HEAD_HALF = 12, 0.6


class Stroke(Struct, frozen=True):
    """A line through points with round ends; `width_m` is the real width of what it shows, 0 for a thin line."""

    role: Role
    points: tuple[PagePoint, ...]
    width_m: float = 0.0


class Label(Struct, frozen=True):
    """A point with a label; its name selects the text."""

    name: LabelName
    at: PagePoint


class Scene(Struct, frozen=True):
    """A drawing in metres: strokes, labels, and the lower left and upper right corner of the part that is shown.

    Labels keep clear of `in_the_way`, or of the strokes if it is empty: a moving drawing has all its places there.
    """

    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    low: PagePoint
    high: PagePoint
    in_the_way: tuple[Stroke, ...] = ()


def bounds(strokes: Iterable[Stroke]) -> tuple[PagePoint, PagePoint]:
    """The lower left and upper right corner of the box around all strokes, including their widths."""
    reached = [(point, stroke.width_m / 2) for stroke in strokes for point in stroke.points]
    low = (min(point[0] - half for point, half in reached), min(point[1] - half for point, half in reached))
    high = (max(point[0] + half for point, half in reached), max(point[1] + half for point, half in reached))
    return low, high


def arrow(role: Role, tail: PagePoint, tip: PagePoint, head_m: float) -> tuple[Stroke, ...]:
    """A straight arrow: its shaft, and a filled head, whose edges stay together however coarse the cells are."""
    long = math.dist(tail, tip) or 1.0
    run, rise = (tip[0] - tail[0]) / long, (tip[1] - tail[1]) / long

    def beside(back: float, aside: float) -> PagePoint:
        return tip[0] - back * run - aside * rise, tip[1] - back * rise + aside * run

    levels = [head_m * number / _HEAD_LINES for number in range(1, _HEAD_LINES + 1)]
    ends = ((beside(back, _HEAD_HALF * back), beside(back, -_HEAD_HALF * back)) for back in levels)
    return (Stroke(role, (tail, tip)), *(Stroke(role, line, 1.5 * head_m / _HEAD_LINES) for line in ends))


def halfway(one: PagePoint, other: PagePoint) -> PagePoint:
    """The point halfway."""
    return ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)

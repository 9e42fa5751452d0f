"""The elements of a drawing: strokes and labels on a page, in metres."""

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
"""What a stroke shows. `path` is the path of the hand, `reach` the line that the hand has to reach, `measure` a
length with its ends; `should` is the arm where it belongs, `moved` the way from there of a part that went wrong; the
last four are those of plots, where `spread` is how well a number is known."""

LabelName = Literal["anchor", "underfoot", "mark", "start", "end", "facing", "distance", "height", "part"]
NO_LABEL_TEXTS: Mapping[LabelName, str] = MappingProxyType({})
"""For drawings whose labels show their names."""


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

    `in_the_way`: what labels keep clear of, where it is more than the strokes: all places of what moves.
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

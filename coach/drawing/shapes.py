"""What a drawing is made of: strokes and labels on a flat page, in metres."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Point = tuple[float, float]
"""(to the right on the page, up the page), in metres."""

Side = Literal["left", "right"]

Role = Literal[
    "trunk",
    "feet",
    "head",
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
    "reach",
    "anchor",
]
"""What a stroke shows. `path` is the way of the hand, `reach` the line that it goes to."""

LabelName = Literal["anchor", "mark", "start", "end", "facing", "distance"]
NO_WORDS: Mapping[LabelName, str] = MappingProxyType({})
"""For drawings that show the names themselves."""


@dataclass(frozen=True)
class Stroke:
    """A line through points with round ends; `width_m` is the width of what it shows, 0 for a mere line."""

    role: Role
    points: tuple[Point, ...]
    width_m: float = 0.0


@dataclass(frozen=True)
class Label:
    """A place that wants words; its name says which."""

    name: LabelName
    at: Point


@dataclass(frozen=True)
class Scene:
    """A drawing in metres: what is drawn, what is named, and the corners of the part that is shown."""

    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    low: Point
    high: Point


def bounds(strokes: Iterable[Stroke]) -> tuple[Point, Point]:
    """The lower left and upper right corner of the box round all strokes, with their widths."""
    reached = [(point, stroke.width_m / 2) for stroke in strokes for point in stroke.points]
    low = (min(point[0] - half for point, half in reached), min(point[1] - half for point, half in reached))
    high = (max(point[0] + half for point, half in reached), max(point[1] + half for point, half in reached))
    return low, high

"""Which quarters of the cells each role inks: one whole number a line of quarters, its lowest bit leftmost.

Every stroke is a row of capsules, and a capsule cut by a level line is one interval, so that a line of quarters is
filled with one shift and no quarter is looked at twice.
"""

import math
from collections.abc import Iterator, Mapping
from itertools import pairwise

from coach.drawing.grid_fit import Fit
from coach.drawing.line_styles import STYLES, Style
from coach.drawing.shapes import Point, Role, Scene

Ink = Mapping[Role, list[int]]
"""For each role, one number for each line of quarters, from the top."""

_DASH_TO_WIDTH = 1.5

# A line on the very border between two quarters inks one of them, so that a thin line is always thin.
_NUDGE = 1e-6

# A quarter of a cell is half a cell wide and one cell width high.
_QUARTERS_A_WIDTH = 2


def ink(scene: Scene, place: Fit, columns: int, rows: int) -> Ink:
    """The inked quarters of a scene on a grid of cells."""
    inked: dict[Role, list[int]] = {}
    for stroke in scene.strokes:
        style = STYLES[stroke.role]
        lines = inked.setdefault(stroke.role, [0] * (2 * rows))
        width = max(style.width, stroke.width_m * place.scale)
        points = [(x + _NUDGE, y + _NUDGE) for x, y in map(place.at, stroke.points)]
        for one, other in pieces(points, style, width):
            _fill(lines, one, other, width / 2, 2 * columns)
    return inked


def pieces(points: list[Point], style: Style, width: float) -> Iterator[tuple[Point, Point]]:
    """The straight pieces of a line, cut by the pattern of its style; round ends are part of a dash."""
    if not style.dash:
        yield from pairwise(points)
        return
    # A dash stays longer than it is wide, also where the line is as wide as the limb that it shows.
    dash_length = max(style.dash, _DASH_TO_WIDTH * width if width > style.width else 0.0)
    core = max(dash_length - width, 0.0)
    period = dash_length + style.gap
    done = 0.0
    for one, other in pairwise(points):
        length = math.dist(one, other)
        number = math.floor(done / period)
        while length > 0 and number * period < done + length:
            begin, finish = max(number * period, done), min(number * period + core, done + length)
            if finish >= begin:
                yield _part(one, other, (begin - done) / length), _part(one, other, (finish - done) / length)
            number += 1
        done += length


def _part(one: Point, other: Point, share: float) -> Point:
    """The point at a share of the way."""
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def _fill(lines: list[int], one: Point, other: Point, radius: float, quarters: int) -> None:
    """Ink the quarters whose middles lie in the capsule between two points; a dot between all middles inks one."""
    missed = True
    first = max(math.ceil(min(one[1], other[1]) - radius - 0.5), 0)
    last = min(math.floor(max(one[1], other[1]) + radius - 0.5), len(lines) - 1)
    for line in range(first, last + 1):
        cut = _cut(one, other, radius, line + 0.5)
        if cut is None:
            continue
        left = max(math.ceil(cut[0] * _QUARTERS_A_WIDTH - 0.5), 0)
        right = min(math.floor(cut[1] * _QUARTERS_A_WIDTH - 0.5), quarters - 1)
        if right >= left:
            lines[line] |= ((1 << (right - left + 1)) - 1) << left
            missed = False
    line, quarter = math.floor(one[1]), math.floor(one[0] * _QUARTERS_A_WIDTH)
    if missed and 0 <= line < len(lines) and 0 <= quarter < quarters:
        lines[line] |= 1 << quarter


def _cut(one: Point, other: Point, radius: float, level: float) -> tuple[float, float] | None:
    """Where a level line enters and leaves a capsule; None where it misses."""
    low, high = math.inf, -math.inf
    for x, y in (one, other):
        rest = radius * radius - (level - y) * (level - y)
        if rest >= 0:
            half = math.sqrt(rest)
            low, high = min(low, x - half), max(high, x + half)
    run, rise = other[0] - one[0], other[1] - one[1]
    length = math.hypot(run, rise)
    if length > 0:
        # Between the ends: 0 <= along <= length and |aside| <= radius, both linear in x.
        below = level - one[1]
        begin, finish = -math.inf, math.inf
        for slope, offset, least, most in (
            (run / length, below * rise / length, 0.0, length),
            (-rise / length, below * run / length, -radius, radius),
        ):
            if abs(slope) < 1e-12:
                if not least <= offset <= most:
                    begin, finish = math.inf, -math.inf
                continue
            bounds = sorted(((least - offset) / slope, (most - offset) / slope))
            begin, finish = max(begin, bounds[0] + one[0]), min(finish, bounds[1] + one[0])
        if begin <= finish:
            low, high = min(low, begin), max(high, finish)
    return (low, high) if low <= high else None

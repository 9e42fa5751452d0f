"""Which quarters of the cells each role covers: one integer for each line of quarters, its lowest bit leftmost.

Every stroke is a series of capsules. A horizontal line cuts a capsule in one interval, so that a line of quarters is
filled with one shift and no quarter is tested twice.
"""

import math
from collections.abc import Iterator, Mapping
from itertools import pairwise

from coach.drawing.grid_fit import GridFit
from coach.drawing.line_styles import LINE_STYLES, LineStyle
from coach.drawing.shapes import PagePoint, Role, Scene

Coverage = Mapping[Role, list[int]]
"""For each role, one integer for each line of quarters, from the top."""

_DASH_TO_WIDTH = 1.5

# A line on the border between two quarters covers one of them only, so that a thin line stays thin.
_NUDGE = 1e-6

# A quarter is half a cell width wide and one cell width high.
_QUARTERS_A_WIDTH = 2


def scene_coverage(scene: Scene, fit: GridFit, columns: int, rows: int) -> Coverage:
    """The quarters that a scene covers on a grid of cells."""
    inked: dict[Role, list[int]] = {}
    for stroke in scene.strokes:
        style = LINE_STYLES[stroke.role]
        lines = inked.setdefault(stroke.role, [0] * (2 * rows))
        width = max(style.width, stroke.width_m * fit.scale)
        points = [(x + _NUDGE, y + _NUDGE) for x, y in map(fit.to_grid, stroke.points)]
        for one, other in dash_pieces(points, style, width):
            _fill(lines, one, other, width / 2, 2 * columns)
    return inked


def dash_pieces(points: list[PagePoint], style: LineStyle, width: float) -> Iterator[tuple[PagePoint, PagePoint]]:
    """The straight pieces of a line after its dashes are cut; the round ends are part of a dash."""
    if not style.dash:
        yield from pairwise(points)
        return
    # A dash is longer than wide even if the line is as wide as a limb.
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


def _part(one: PagePoint, other: PagePoint, share: float) -> PagePoint:
    """The point at a fraction of the way between two points."""
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def _fill(lines: list[int], one: PagePoint, other: PagePoint, radius: float, quarters: int) -> None:
    """Cover the quarters whose centres lie in the capsule between two points, or the nearest if there are none."""
    missed = True
    first = max(math.ceil(min(one[1], other[1]) - radius - 0.5), 0)
    last = min(math.floor(max(one[1], other[1]) + radius - 0.5), len(lines) - 1)
    for line in range(first, last + 1):
        cut = capsule_cut(one, other, radius, line + 0.5)
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


def capsule_cut(one: PagePoint, other: PagePoint, radius: float, level: float) -> tuple[float, float] | None:
    """Where a horizontal line enters and leaves a capsule; None if it misses it."""
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

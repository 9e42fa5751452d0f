"""A scene on paper, in millimetres: lines, words and a scale bar, to be written as SVG, PDF or anything with a pen.

Lines have the widths and patterns of the terminal, and words stand in the same grid of cells, here of millimetres.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

from coach.drawing.coverage import ink
from coach.drawing.grid_fit import CELL_HEIGHT, MARGIN, Fit
from coach.drawing.labels import Placed, place_labels
from coach.drawing.line_styles import STYLES
from coach.drawing.shapes import NO_WORDS, LabelName, Point, Role, Scene, Stroke

SCALE_BAR_M = 0.5

CELL_MM = 2.1
"""Width of a cell: room for a character of a wide sans-serif face at `FONT_TO_CELL` times its width."""

FONT_TO_CELL = 3.2 / 2.1

# Line widths in cells to those in cell widths: a terminal has no thin line.
_THIN = 0.35 / 2.1
_WORD_ROWS = 2
_SCALE_LINE_MM = 0.3
_GREYS: Mapping[Role, int] = MappingProxyType({"trunk": 0xDD, "feet": 0xBB, "head": 0x99})


@dataclass(frozen=True)
class PaperLine:
    """A line with round ends and corners; points in millimetres to the right and down."""

    role: Role | Literal["scale"]
    points: tuple[Point, ...]
    width_mm: float
    grey: int = 0
    """0 for black, 255 for white."""
    dash_mm: tuple[float, float] | None = None
    """Lengths of dash and gap."""


@dataclass(frozen=True)
class PaperWords:
    """Words on one line; `at` is the middle of their baseline, for the scale bar its left end."""

    name: LabelName | Literal["scale"]
    text: str
    at: Point


@dataclass(frozen=True)
class Paper:
    """A drawing in the order of painting, in a box of this size."""

    lines: tuple[PaperLine, ...]
    words: tuple[PaperWords, ...]
    width_mm: float
    height_mm: float
    font_mm: float
    mm_a_metre: float


def stacked(
    scenes: Sequence[Scene],
    width_mm: float,
    height_mm: float,
    words: Mapping[LabelName, str] = NO_WORDS,
    cell_mm: float = CELL_MM,
) -> tuple[Paper, ...]:
    """Scenes for one column of the page: all at one scale, what is at one place across stands below itself, and the
    scale bar is under the last. Each is as wide as asked, and together they are as high.

    `words` as for the raster; a smaller `cell_mm` makes smaller words and thinner lines. Raises ValueError where the
    column is too small for any drawing.
    """
    columns, rows = int(width_mm / cell_mm), int(height_mm / (cell_mm * CELL_HEIGHT)) - 1
    left, right = min(scene.low[0] for scene in scenes), max(scene.high[0] for scene in scenes)
    heights_m = [scene.high[1] - scene.low[1] for scene in scenes]
    scale = _common_scale(right - left, heights_m, columns, rows)
    if scale is None:
        raise ValueError(f"{len(scenes)} drawings do not fit into {width_mm:g} by {height_mm:g} mm")
    papers = []
    for scene, height_m in zip(scenes, heights_m, strict=True):
        own_rows = _rows(height_m, scale)
        place = Fit(
            scale=scale,
            left=columns / 2 - (left + right) / 2 * scale,
            top=own_rows * CELL_HEIGHT / 2 + (scene.low[1] + scene.high[1]) / 2 * scale,
        )
        papers.append(_placed(scene, place, columns, own_rows, words, cell_mm))
    last = papers.pop()
    with_bar_mm = last.height_mm + CELL_HEIGHT * cell_mm
    return (*papers, _with_scale_bar(replace(last, height_mm=with_bar_mm), cell_mm))


def _common_scale(width_m: float, heights_m: Sequence[float], columns: int, rows: int) -> float | None:
    """The largest scale, in cell widths to the metre, at which all drawings find their whole rows; None if none."""
    across = (columns - 2 * MARGIN) / width_m
    filling = [(CELL_HEIGHT * row - 2 * MARGIN) / height_m for height_m in heights_m for row in range(rows + 1)]
    fits = (
        scale
        for scale in (across, *filling)
        if 0 < scale <= across and sum(_rows(height_m, scale) for height_m in heights_m) <= rows
    )
    return max(fits, default=None)


def _rows(height_m: float, scale: float) -> int:
    """The whole rows that a drawing needs, with those for words above and below it. A hair less is forgiven, so that
    what fills its rows does so in floats as well."""
    return _WORD_ROWS + math.ceil((height_m * scale + 2 * MARGIN) / CELL_HEIGHT - 1e-9)


def _placed(
    scene: Scene, place: Fit, columns: int, rows: int, words: Mapping[LabelName, str], cell_mm: float
) -> Paper:
    """A scene where it falls on a grid of cells, with its words."""
    painted = sorted(scene.strokes, key=lambda stroke: list(STYLES).index(stroke.role))
    named = place_labels(scene.labels, words, place, ink(scene, place, columns, rows), columns, rows)
    return Paper(
        lines=tuple(_line(stroke, place, cell_mm) for stroke in painted),
        words=tuple(_words(label, cell_mm) for label in named),
        width_mm=columns * cell_mm,
        height_mm=rows * CELL_HEIGHT * cell_mm,
        font_mm=cell_mm * FONT_TO_CELL,
        mm_a_metre=place.scale * cell_mm,
    )


def _line(stroke: Stroke, place: Fit, cell_mm: float) -> PaperLine:
    """One stroke, with the pattern of its style."""
    style = STYLES[stroke.role]
    thin_mm, real_mm = style.width * _THIN * cell_mm, stroke.width_m * place.scale * cell_mm
    width_mm = max(thin_mm, real_mm / 2 if style.dash else real_mm)
    return PaperLine(
        role=stroke.role,
        points=tuple((x * cell_mm, y * cell_mm) for x, y in map(place.at, stroke.points)),
        width_mm=width_mm,
        grey=_GREYS.get(stroke.role, 0),
        dash_mm=(style.dash * cell_mm / 2, style.gap * cell_mm / 2 + width_mm) if style.dash else None,
    )


def _words(label: Placed, cell_mm: float) -> PaperWords:
    """Words in their cells."""
    at = ((label.column + label.cells / 2) * cell_mm, (label.row * CELL_HEIGHT + 1.5) * cell_mm)
    return PaperWords(label.name, label.text, at)


def _with_scale_bar(paper: Paper, cell_mm: float) -> Paper:
    """The drawing with a bar of half a metre at its foot, and its length in words that need no language."""
    left, level, tick = cell_mm, paper.height_mm - cell_mm, cell_mm / 2
    right = left + SCALE_BAR_M * paper.mm_a_metre
    corners = ((left, level - tick), (left, level), (right, level), (right, level - tick))
    bar = PaperLine("scale", corners, _SCALE_LINE_MM)
    length = PaperWords("scale", f"{SCALE_BAR_M * 100:.0f} cm", (right + tick, level))
    return replace(paper, lines=(*paper.lines, bar), words=(*paper.words, length))

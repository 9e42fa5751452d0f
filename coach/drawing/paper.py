"""A scene on paper, in millimetres: lines, texts and a scale bar, for SVG and PDF.

Lines have the same widths and dashes as in a terminal, and texts are placed on the same grid of cells.
"""

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from coach.drawing.coverage import scene_coverage
from coach.drawing.grid_fit import CELL_HEIGHT, MARGIN, GridFit
from coach.drawing.labels import PlacedLabel, place_labels
from coach.drawing.line_styles import LINE_STYLES
from coach.drawing.shapes import NO_LABEL_TEXTS, LabelName, PagePoint, Role, Scene, Stroke

SCALE_BAR_M = 0.5

CELL_MM = 2.1
"""The width of a cell, enough for a wide sans-serif character with a font size of `FONT_TO_CELL` cell widths."""

FONT_TO_CELL = 3.2 / 2.1

# Lines on paper are thinner than those of a terminal by this factor: a terminal has no thin lines.
_THIN = 0.35 / 2.1
_WORD_ROWS = 2
_SCALE_LINE_MM = 0.3
_GREYS: Mapping[Role, int] = MappingProxyType({"trunk": 0xDD, "feet": 0xBB, "head": 0x99})


class PaperLine(Struct, frozen=True):
    """A line with round ends and corners; points in millimetres, to the right and downward."""

    role: Role | Literal["scale"]
    points: tuple[PagePoint, ...]
    width_mm: float
    grey: int = 0
    """0 for black, 255 for white."""
    dash_mm: tuple[float, float] | None = None
    """Lengths of dash and gap."""


class PaperText(Struct, frozen=True):
    """A text on one line; `at` is the middle of its baseline, or for the scale bar its left end."""

    name: LabelName | Literal["scale"]
    text: str
    at: PagePoint


class Paper(Struct, frozen=True):
    """A drawing in drawing order, in a box of this size."""

    lines: tuple[PaperLine, ...]
    texts: tuple[PaperText, ...]
    width_mm: float
    height_mm: float
    font_mm: float
    mm_a_metre: float


def stacked(
    scenes: Sequence[Scene],
    width_mm: float,
    height_mm: float,
    words: Mapping[LabelName, str] = NO_LABEL_TEXTS,
    cell_mm: float = CELL_MM,
) -> tuple[Paper, ...]:
    """Draw scenes below one another in a box of `width_mm` by `height_mm`, at one scale and aligned horizontally.

    The scale bar is below the last scene. `words` is as for `raster`; a smaller `cell_mm` makes smaller texts and
    thinner lines. Raises ValueError if the scenes do not fit.
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
        fit = GridFit(
            scale=scale,
            left=columns / 2 - (left + right) / 2 * scale,
            top=own_rows * CELL_HEIGHT / 2 + (scene.low[1] + scene.high[1]) / 2 * scale,
        )
        papers.append(_placed(scene, fit, columns, own_rows, words, cell_mm))
    last = papers.pop()
    with_bar_mm = last.height_mm + CELL_HEIGHT * cell_mm
    return (*papers, _with_scale_bar(replace(last, height_mm=with_bar_mm), cell_mm))


def _common_scale(width_m: float, heights_m: Sequence[float], columns: int, rows: int) -> float | None:
    """The largest scale in cell widths per metre at which all drawings fit in whole rows; None if there is none."""
    across = (columns - 2 * MARGIN) / width_m
    filling = [(CELL_HEIGHT * row - 2 * MARGIN) / height_m for height_m in heights_m for row in range(rows + 1)]
    fits = (
        scale
        for scale in (across, *filling)
        if 0 < scale <= across and sum(_rows(height_m, scale) for height_m in heights_m) <= rows
    )
    return max(fits, default=None)


def _rows(height_m: float, scale: float) -> int:
    """The whole rows that a drawing needs, including those for texts above and below it, despite rounding errors."""
    return _WORD_ROWS + math.ceil((height_m * scale + 2 * MARGIN) / CELL_HEIGHT - 1e-9)


def _placed(
    scene: Scene, fit: GridFit, columns: int, rows: int, words: Mapping[LabelName, str], cell_mm: float
) -> Paper:
    """A scene on a grid of cells, with its labels."""
    painted = sorted(scene.strokes, key=lambda stroke: list(LINE_STYLES).index(stroke.role))
    named = place_labels(scene.labels, words, fit, scene_coverage(scene, fit, columns, rows), columns, rows)
    return Paper(
        lines=tuple(_line(stroke, fit, cell_mm) for stroke in painted),
        texts=tuple(_text(label, cell_mm) for label in named),
        width_mm=columns * cell_mm,
        height_mm=rows * CELL_HEIGHT * cell_mm,
        font_mm=cell_mm * FONT_TO_CELL,
        mm_a_metre=fit.scale * cell_mm,
    )


def _line(stroke: Stroke, fit: GridFit, cell_mm: float) -> PaperLine:
    """One stroke in the style of its role."""
    style = LINE_STYLES[stroke.role]
    thin_mm, real_mm = style.width * _THIN * cell_mm, stroke.width_m * fit.scale * cell_mm
    width_mm = max(thin_mm, real_mm / 2 if style.dash else real_mm)
    return PaperLine(
        role=stroke.role,
        points=tuple((x * cell_mm, y * cell_mm) for x, y in map(fit.to_grid, stroke.points)),
        width_mm=width_mm,
        grey=_GREYS.get(stroke.role, 0),
        dash_mm=(style.dash * cell_mm / 2, style.gap * cell_mm / 2 + width_mm) if style.dash else None,
    )


def _text(label: PlacedLabel, cell_mm: float) -> PaperText:
    """A placed label as text."""
    at = ((label.column + label.cell_width / 2) * cell_mm, (label.row * CELL_HEIGHT + 1.5) * cell_mm)
    return PaperText(label.name, label.text, at)


def _with_scale_bar(paper: Paper, cell_mm: float) -> Paper:
    """The drawing with a bar of half a metre below it; its length reads the same in every language."""
    left, level, tick = cell_mm, paper.height_mm - cell_mm, cell_mm / 2
    right = left + SCALE_BAR_M * paper.mm_a_metre
    corners = ((left, level - tick), (left, level), (right, level), (right, level - tick))
    bar = PaperLine("scale", corners, _SCALE_LINE_MM)
    length = PaperText("scale", f"{SCALE_BAR_M * 100:.0f} cm", (right + tick, level))
    return replace(paper, lines=(*paper.lines, bar), texts=(*paper.texts, length))

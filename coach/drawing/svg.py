"""A scene as vectors for paper: to scale, legible in black and white, with a scale bar.

Lines have the widths and patterns of the terminal, and words stand in the same grid of cells, here of millimetres.
"""

from collections.abc import Mapping
from types import MappingProxyType
from xml.sax.saxutils import escape, quoteattr

from coach.drawing.fit import CELL_HEIGHT, Fit, fit
from coach.drawing.ink import ink
from coach.drawing.labels import place_labels
from coach.drawing.raster import NO_WORDS
from coach.drawing.shapes import LabelName, Role, Scene, Stroke
from coach.drawing.styles import STYLES

SCALE_BAR_M = 0.5

# One cell: room for a character of a wide sans-serif face at this size.
_CELL_MM = 2.1
_FONT_MM = 3.2
# Line widths in millimetres to those in cell widths: a terminal has no thin line.
_THIN = 0.35
_SCALE_ROWS = 2
_GREYS: Mapping[Role, str] = MappingProxyType({"trunk": "#dddddd", "feet": "#bbbbbb", "head": "#999999"})


def svg(
    scene: Scene, width_mm: float, height_mm: float, words: Mapping[LabelName, str] = NO_WORDS, title: str = ""
) -> str:
    """An SVG document of this size in millimetres; every stroke has its role as class.

    `words` as for the raster, `title` is read out by screen readers. Raises ValueError below 20 by 20 mm.
    """
    if width_mm < 20 or height_mm < 20:
        raise ValueError(f"a drawing on paper needs at least 20 by 20 mm, not {width_mm:g} by {height_mm:g}")
    columns, rows = int(width_mm / _CELL_MM), int(height_mm / (_CELL_MM * CELL_HEIGHT)) - _SCALE_ROWS
    place = fit(scene, columns, rows)
    painted = sorted(scene.strokes, key=lambda stroke: list(STYLES).index(stroke.role))
    named = place_labels(scene.labels, words, place, ink(scene, place, columns, rows), columns, rows)
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:g}mm" height="{height_mm:g}mm" '
            f'viewBox="0 0 {width_mm:g} {height_mm:g}" role="img" font-family="sans-serif" font-size="{_FONT_MM}">',
            *((f"<title>{escape(title)}</title>",) if title else ()),
            *(_line(stroke, place) for stroke in painted),
            *(_text(label.text, label.column, label.row, label.cells, label.name) for label in named),
            *_scale_bar(place, height_mm),
            "</svg>",
            "",
        )
    )


def _line(stroke: Stroke, place: Fit) -> str:
    """One stroke as a polyline with round ends."""
    style = STYLES[stroke.role]
    thin_mm, real_mm = style.width * _THIN, stroke.width_m * place.scale * _CELL_MM
    width_mm = max(thin_mm, real_mm / 2 if style.dash else real_mm)
    corners = [place.at(point) for point in stroke.points]
    points = " ".join(f"{x * _CELL_MM:.3f},{y * _CELL_MM:.3f}" for x, y in corners)
    dashes = ""
    if style.dash:
        dashes = f' stroke-dasharray="{style.dash * _CELL_MM / 2:.2f} {style.gap * _CELL_MM / 2 + width_mm:.2f}"'
    return (
        f'<polyline class={quoteattr(stroke.role)} points="{points}" fill="none" '
        f'stroke="{_GREYS.get(stroke.role, "#000000")}" stroke-width="{width_mm:.3f}" '
        f'stroke-linecap="round" stroke-linejoin="round"{dashes}/>'
    )


def _text(text: str, column: int, row: int, cells: int, name: str) -> str:
    """Words in their cells, on a white rim."""
    x, y = (column + cells / 2) * _CELL_MM, (row * CELL_HEIGHT + 1.5) * _CELL_MM
    return (
        f'<text class={quoteattr(name)} x="{x:.2f}" y="{y:.2f}" text-anchor="middle" '
        f'stroke="#ffffff" stroke-width="0.8" paint-order="stroke" fill="#000000">{escape(text)}</text>'
    )


def _scale_bar(place: Fit, height_mm: float) -> tuple[str, str]:
    """A bar of half a metre with its length in words that need no language."""
    left, level = _CELL_MM, height_mm - _CELL_MM
    right = left + SCALE_BAR_M * place.scale * _CELL_MM
    tick = _CELL_MM / 2
    return (
        f'<polyline class="scale" points="{left:.3f},{level - tick:.3f} {left:.3f},{level:.3f} '
        f'{right:.3f},{level:.3f} {right:.3f},{level - tick:.3f}" fill="none" stroke="#000000" stroke-width="0.3"/>',
        f'<text class="scale" x="{right + tick:.2f}" y="{level:.2f}">{SCALE_BAR_M * 100:.0f} cm</text>',
    )

"""Captures what a screen shows: as runs of text with the colours that are drawn, as text, and as a picture."""

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from textual.app import App
from textual.filter import Monochrome
from textual.strip import Strip

from coach.drawing.cells.signs import SIGN_SETS

_CELL_WIDTH, _CELL_HEIGHT = 10, 20
DRAWING_SIGNS = frozenset("".join(signs.signs for signs in SIGN_SETS.values()) + "░▒▓╎╌▁▂▃▅▆▇━●○■□▲△▼▽◆◇")


@dataclass(frozen=True)
class Run:
    """Adjacent cells of one style; colours are red, green and blue from 0 to 255."""

    column: int
    row: int
    text: str
    ink: tuple[int, int, int]
    ground: tuple[int, int, int]
    bold: bool
    underlined: bool = False


def runs(app: App[None], monochrome: bool = False) -> list[list[Run]]:
    """Each row of the screen, a reversed text in reversed colours and reversed spaces as full blocks.

    `monochrome` draws it in shades of grey.
    """
    filters = [*app._filters, *([Monochrome()] if monochrome else [])]
    rows = []
    for number, strip in enumerate(app.screen._compositor.render_strips()):
        for line_filter in filters:
            strip = strip.apply_filter(line_filter, app.screen.background_colors[1])
        rows.append(list(_row(number, strip)))
    return rows


def _row(number: int, strip: Strip) -> Iterator[Run]:
    column = 0
    for text, style, _ in strip:
        if text:
            assert style is not None
            assert style.bgcolor is not None
            ground = style.bgcolor.get_truecolor()
            ink = style.color.get_truecolor() if style.color is not None else ground
            if style.reverse and text.strip():
                ink, ground = ground, ink
            blocks = "█" * len(text) if style.reverse and not text.strip() else text
            yield Run(column, number, blocks, (*ink,), (*ground,), bool(style.bold), bool(style.underline))
        column += len(text)


def is_drawing(text: str) -> bool:
    """Whether a text is nothing but signs of drawings, large letters or bars."""
    return not set(text) - DRAWING_SIGNS


def without_drawings(text: str) -> str:
    """A text with a space for each sign of a drawing, its measure lines too."""
    signs = DRAWING_SIGNS | set("─│├┤┬┴╌╎╭╮╰╯·")
    lines = ("".join(" " if sign in signs else sign for sign in line) for line in text.split("\n"))
    return "\n".join(line.rstrip() for line in lines)


def as_text(rows: list[list[Run]]) -> str:
    """The characters only, without colour or weight."""
    return "\n".join("".join(run.text for run in row).rstrip() for row in rows) + "\n"


def as_svg(rows: list[list[Run]]) -> str:
    """The screen as an SVG document, drawn in the viewer's own monospace font."""
    width, height = max(run.column + len(run.text) for row in rows for run in row), len(rows)
    wide, high = width * _CELL_WIDTH, height * _CELL_HEIGHT
    # Crisp edges: no seams between neighbouring cells where a page scales the picture.
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" viewBox="0 0 {wide} {high}" '
        'shape-rendering="crispEdges" xml:space="preserve" '
        'font-family="DejaVu Sans Mono, monospace" font-size="16.6">'
    ]
    for run in (run for row in rows for run in row):
        left, top, long = run.column * _CELL_WIDTH, run.row * _CELL_HEIGHT, len(run.text) * _CELL_WIDTH
        lines.append(f'<rect x="{left}" y="{top}" width="{long}" height="{_CELL_HEIGHT}" fill="{_hex(run.ground)}"/>')
        if run.text.strip("█") == "":
            lines[-1] = lines[-1].replace(_hex(run.ground), _hex(run.ink))
        elif run.text.strip():
            weight = ' font-weight="bold"' if run.bold else ""
            lines.append(
                f'<text x="{left}" y="{top + 15}" textLength="{long}" fill="{_hex(run.ink)}"{weight}>'
                f"{escape(run.text)}</text>"
            )
        if run.underlined:
            lines.append(f'<rect x="{left}" y="{top + 17}" width="{long}" height="1" fill="{_hex(run.ink)}"/>')
    return "\n".join([*lines, "</svg>"]) + "\n"


def _hex(colour: tuple[int, int, int]) -> str:
    return "#" + "".join(f"{part:02x}" for part in colour)

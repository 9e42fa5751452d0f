"""What a screen shows, as runs of text with the colours that are really drawn; as text, and as a picture."""

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from textual.app import App

_CELL_WIDTH, _CELL_HEIGHT = 10, 20


@dataclass(frozen=True)
class Run:
    """Neighbouring cells of one style: colours as red, green and blue from 0 to 255."""

    column: int
    row: int
    text: str
    ink: tuple[int, int, int]
    ground: tuple[int, int, int]
    bold: bool


def runs(app: App[None]) -> list[list[Run]]:
    """Each row of the screen, reversed spaces as full blocks."""
    return [list(_row(app, number)) for number in range(app.size.height)]


def _row(app: App[None], number: int) -> Iterator[Run]:
    strip = app.screen._compositor.render_strips()[number]
    for line_filter in app._filters:
        strip = strip.apply_filter(line_filter, app.screen.background_colors[1])
    column = 0
    for text, style, _ in strip:
        if text:
            assert style is not None
            assert style.bgcolor is not None
            ground = style.bgcolor.get_truecolor()
            ink = style.color.get_truecolor() if style.color is not None else ground
            blocks = "█" * len(text) if style.reverse and not text.strip() else text
            yield Run(column, number, blocks, (*ink,), (*ground,), bool(style.bold))
        column += len(text)


def as_text(rows: list[list[Run]]) -> str:
    """The characters alone."""
    return "\n".join("".join(run.text for run in row).rstrip() for row in rows) + "\n"


def as_svg(rows: list[list[Run]]) -> str:
    """A picture of the screen; the font is the viewer's own."""
    width, height = max(run.column + len(run.text) for row in rows for run in row), len(rows)
    wide, high = width * _CELL_WIDTH, height * _CELL_HEIGHT
    # Crisp edges: cells side by side show no seam on a page that scales the picture.
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
    return "\n".join([*lines, "</svg>"]) + "\n"


def _hex(colour: tuple[int, int, int]) -> str:
    return "#" + "".join(f"{part:02x}" for part in colour)

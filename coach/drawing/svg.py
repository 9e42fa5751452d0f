"""Drawings below one another as one SVG document: to scale, with headings, legible in black and white."""

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from coach.drawing.paper import Paper, PaperLine, PaperText

_HEADING_MM = 7.0
_BASELINE_MM = 5.0
_MARGIN_MM = 5.0


def svg_page(papers: Sequence[Paper], headings: Sequence[str], title: str) -> str:
    """An SVG document of the size of the drawings; `title` is above them and is also read by screen readers."""
    width_mm = max(paper.width_mm for paper in papers) + 2 * _MARGIN_MM
    height_mm = 2 * _MARGIN_MM + _HEADING_MM + sum(_HEADING_MM + paper.height_mm for paper in papers)
    font_mm = papers[0].font_mm
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:.3f}mm" height="{height_mm:.3f}mm" '
            f'viewBox="0 0 {width_mm:.3f} {height_mm:.3f}" role="img" font-family="sans-serif" '
            f'font-size="{font_mm:.1f}">',
            f"<title>{escape(title)}</title>",
            f'<rect width="{width_mm:.3f}" height="{height_mm:.3f}" fill="#ffffff"/>',
            _heading(title, _MARGIN_MM, font_mm, bold=True),
            *_drawings(papers, headings),
            "</svg>",
            "",
        )
    )


def _drawings(papers: Sequence[Paper], headings: Sequence[str]) -> Iterator[str]:
    """Each drawing below its heading, as lines of text with one element each."""
    down_mm = _MARGIN_MM + _HEADING_MM
    for paper, heading in zip(papers, headings, strict=True):
        yield _heading(heading, down_mm, papers[0].font_mm)
        down_mm += _HEADING_MM
        yield f'<g transform="translate({_MARGIN_MM:g},{down_mm:.3f})">'
        yield from map(_line, paper.lines)
        yield from map(_text, paper.texts)
        yield "</g>"
        down_mm += paper.height_mm


def _heading(text: str, top_mm: float, font_mm: float, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text class="heading" x="{_MARGIN_MM:g}" y="{top_mm + _BASELINE_MM:.3f}" '
        f'font-size="{font_mm * 1.2:.1f}"{weight}>{escape(text)}</text>'
    )


def _line(line: PaperLine) -> str:
    """One line as a polyline with round ends."""
    points = " ".join(f"{x:.3f},{y:.3f}" for x, y in line.points)
    dashes = f' stroke-dasharray="{line.dash_mm[0]:.2f} {line.dash_mm[1]:.2f}"' if line.dash_mm else ""
    return (
        f'<polyline class={quoteattr(line.role)} points="{points}" fill="none" '
        f'stroke="#{line.grey:02x}{line.grey:02x}{line.grey:02x}" stroke-width="{line.width_mm:.3f}" '
        f'stroke-linecap="round" stroke-linejoin="round"{dashes}/>'
    )


def _text(words: PaperText) -> str:
    """A text with a white outline, centred in its cells; that of the scale bar starts next to the bar."""
    anchor = "start" if words.name == "scale" else "middle"
    return (
        f'<text class={quoteattr(words.name)} x="{words.at[0]:.2f}" y="{words.at[1]:.2f}" text-anchor="{anchor}" '
        f'stroke="#ffffff" stroke-width="0.8" paint-order="stroke" fill="#000000">{escape(words.text)}</text>'
    )

"""Drawings below one another as one SVG document, each under its heading, all at one scale."""

from collections.abc import Sequence
from xml.sax.saxutils import escape

from coach.drawing.paper import Paper
from coach.drawing.svg import marks

_HEADING_MM = 7.0
_BASELINE_MM = 5.0
_MARGIN_MM = 5.0


def svg_page(papers: Sequence[Paper], headings: Sequence[str], title: str) -> str:
    """An SVG document as large as the drawings need; `title` stands above them and is read out by screen readers."""
    width_mm = max(paper.width_mm for paper in papers) + 2 * _MARGIN_MM
    font_mm = papers[0].font_mm
    down_mm = _MARGIN_MM + _HEADING_MM
    lines = [_heading(title, down_mm - _HEADING_MM, font_mm, bold=True)]
    for paper, heading in zip(papers, headings, strict=True):
        lines.append(_heading(heading, down_mm, font_mm))
        down_mm += _HEADING_MM
        lines.append(f'<g transform="translate({_MARGIN_MM:g},{down_mm:.3f})">')
        lines += marks(paper)
        lines.append("</g>")
        down_mm += paper.height_mm
    height_mm = down_mm + _MARGIN_MM
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:.3f}mm" height="{height_mm:.3f}mm" '
            f'viewBox="0 0 {width_mm:.3f} {height_mm:.3f}" role="img" font-family="sans-serif" '
            f'font-size="{font_mm:.1f}">',
            f"<title>{escape(title)}</title>",
            f'<rect width="{width_mm:.3f}" height="{height_mm:.3f}" fill="#ffffff"/>',
            *lines,
            "</svg>",
            "",
        )
    )


def _heading(text: str, top_mm: float, font_mm: float, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text class="heading" x="{_MARGIN_MM:g}" y="{top_mm + _BASELINE_MM:.3f}" '
        f'font-size="{font_mm * 1.2:.1f}"{weight}>{escape(text)}</text>'
    )

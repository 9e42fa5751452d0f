"""A scene as an SVG document: to scale, legible in black and white, with a scale bar."""

from collections.abc import Mapping
from xml.sax.saxutils import escape, quoteattr

from coach.drawing.paper import Paper, PaperLine, PaperWords, on_paper
from coach.drawing.raster import NO_WORDS
from coach.drawing.shapes import LabelName, Scene


def svg(
    scene: Scene, width_mm: float, height_mm: float, words: Mapping[LabelName, str] = NO_WORDS, title: str = ""
) -> str:
    """An SVG document of this size in millimetres; every stroke has its role as class.

    `words` as for the raster, `title` is read out by screen readers. Raises ValueError below 20 by 20 mm.
    """
    paper = on_paper(scene, width_mm, height_mm, words)
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_mm:g}mm" height="{height_mm:g}mm" '
            f'viewBox="0 0 {width_mm:g} {height_mm:g}" role="img" font-family="sans-serif" '
            f'font-size="{paper.font_mm:.1f}">',
            *((f"<title>{escape(title)}</title>",) if title else ()),
            *marks(paper),
            "</svg>",
            "",
        )
    )


def marks(paper: Paper) -> tuple[str, ...]:
    """The lines and words of a drawing as SVG elements, one a line of text."""
    return (*map(_line, paper.lines), *map(_text, paper.words))


def _line(line: PaperLine) -> str:
    """One line as a polyline with round ends."""
    points = " ".join(f"{x:.3f},{y:.3f}" for x, y in line.points)
    dashes = f' stroke-dasharray="{line.dash_mm[0]:.2f} {line.dash_mm[1]:.2f}"' if line.dash_mm else ""
    return (
        f'<polyline class={quoteattr(line.role)} points="{points}" fill="none" '
        f'stroke="#{line.grey:02x}{line.grey:02x}{line.grey:02x}" stroke-width="{line.width_mm:.3f}" '
        f'stroke-linecap="round" stroke-linejoin="round"{dashes}/>'
    )


def _text(words: PaperWords) -> str:
    """Words on a white rim, in the middle of their cells; those of the scale bar begin beside it."""
    anchor = "start" if words.name == "scale" else "middle"
    return (
        f'<text class={quoteattr(words.name)} x="{words.at[0]:.2f}" y="{words.at[1]:.2f}" text-anchor="{anchor}" '
        f'stroke="#ffffff" stroke-width="0.8" paint-order="stroke" fill="#000000">{escape(words.text)}</text>'
    )

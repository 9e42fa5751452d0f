"""The line style of each role; roles can be told apart without colour, by width, dashes and shade."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from coach.drawing.shapes import Role


@dataclass(frozen=True)
class LineStyle:
    """A line style, in cell widths. `dash` is 0 for a solid line; `shade` is the character that fills a surface."""

    width: float
    dash: float = 0.0
    gap: float = 0.0
    shade: str = ""


# In drawing order, the last on top. Arm and band are dashed at the start and solid at the end of the arc; the arm is
# thick and the band thin.
LINE_STYLES: Mapping[Role, LineStyle] = MappingProxyType(
    {
        "mark": LineStyle(2.0),
        "trunk": LineStyle(1.0, shade="░"),
        "feet": LineStyle(1.0, shade="▒"),
        "head": LineStyle(1.0, shade="▓"),
        "ground": LineStyle(1.0, dash=1.0, gap=2.0),
        "path": LineStyle(1.0, dash=1.0, gap=3.0),
        "band_start": LineStyle(1.0, dash=2.0, gap=2.0),
        "arm_start": LineStyle(2.0, dash=3.5, gap=1.5),
        "band_end": LineStyle(1.0),
        "arm_end": LineStyle(2.0),
        "band_now": LineStyle(1.0),
        "arm_now": LineStyle(3.0),
        "facing": LineStyle(1.0),
        "reach": LineStyle(2.0, dash=3.0, gap=1.0),
        "anchor": LineStyle(3.0),
    }
)

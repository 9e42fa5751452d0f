"""How each role is drawn, so that it can be told apart without colour: width, pattern and shade."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from coach.drawing.shapes import Role


@dataclass(frozen=True)
class Style:
    """Lengths in widths of a character cell. `dash` is 0 for an unbroken line; `shade` fills a surface instead."""

    width: float
    dash: float = 0.0
    gap: float = 0.0
    shade: str = ""


# In the order of painting, the last on top. The start is broken and the end unbroken, in arm and band alike;
# the arm is thick and the band thin.
STYLES: Mapping[Role, Style] = MappingProxyType(
    {
        "mark": Style(2.0),
        "trunk": Style(1.0, shade="░"),
        "feet": Style(1.0, shade="▒"),
        "head": Style(1.0, shade="▓"),
        "ground": Style(1.0, dash=1.0, gap=2.0),
        "path": Style(1.0, dash=1.0, gap=3.0),
        "band_start": Style(1.0, dash=2.0, gap=2.0),
        "arm_start": Style(2.0, dash=3.5, gap=1.5),
        "band_end": Style(1.0),
        "arm_end": Style(2.0),
        "band_now": Style(1.0),
        "arm_now": Style(3.0),
        "facing": Style(1.0),
        "reach": Style(2.0, dash=3.0, gap=1.0),
        "anchor": Style(3.0),
    }
)

"""The line style of each role; roles can be told apart without colour, by width, dashes and shade."""

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

from coach.drawing.shapes import Role


class LineStyle(Struct, frozen=True):
    """A line style, in cell widths. `dash` is 0 for a solid line; `shade` is the character that fills a surface."""

    width: float
    dash: float = 0.0
    gap: float = 0.0
    shade: str = ""


# In drawing order, the last on top. Arm and band are dashed at the start and solid at the end of the arc; the arm is
# thick and the band thin.
LINE_STYLES: Mapping[Role, LineStyle] = MappingProxyType(
    {
        "trunk": LineStyle(1.0, shade="░"),
        "feet": LineStyle(1.0, shade="▒"),
        "mark": LineStyle(1.0),
        "head": LineStyle(1.0, shade="▓"),
        "blade": LineStyle(1.0, shade="█"),
        "should": LineStyle(1.0, dash=2.0, gap=1.0),
        "ground": LineStyle(1.0, dash=1.0, gap=2.0),
        "path": LineStyle(1.0, dash=1.0, gap=3.0),
        "band_start": LineStyle(1.0, dash=2.0, gap=2.0),
        "arm_start": LineStyle(2.0, dash=3.5, gap=1.5),
        "band_end": LineStyle(1.0),
        "arm_end": LineStyle(2.0),
        "band_now": LineStyle(1.0),
        "arm_now": LineStyle(3.0),
        "facing": LineStyle(1.0),
        "measure": LineStyle(1.0),
        "reach": LineStyle(2.0, dash=3.0, gap=1.0),
        "moved": LineStyle(1.0),
        "anchor": LineStyle(3.0),
        "spread": LineStyle(1.0),
        "curve_dotted": LineStyle(1.0, dash=1.0, gap=3.0),
        "curve_dashed": LineStyle(1.0, dash=4.0, gap=2.0),
        "curve": LineStyle(1.0),
    }
)

# In terminal cells: just less than two quadrants, so that an arm is two of them wide wherever it lies.
_ARM = 1.84
# As wide as a line can be without smooth edges.
_CRISP = 0.95

# The same roles and order in terminal cells, with lines as thin as the signs allow: most are half a cell width.
CELL_STYLES: Mapping[Role, LineStyle] = MappingProxyType(
    {
        "trunk": LineStyle(0.5, shade="░"),
        "feet": LineStyle(0.5, shade="▒"),
        "mark": LineStyle(0.5),
        "head": LineStyle(0.5, shade="▓"),
        "blade": LineStyle(0.5, shade="█"),
        "should": LineStyle(0.5, dash=2.0, gap=1.0),
        "ground": LineStyle(0.5, dash=1.5, gap=1.5),
        "path": LineStyle(0.5, dash=1.5, gap=2.5),
        "band_start": LineStyle(0.5, dash=2.0, gap=1.5),
        "arm_start": LineStyle(_ARM, dash=3.5, gap=1.5),
        "band_end": LineStyle(0.5),
        "arm_end": LineStyle(_ARM),
        "band_now": LineStyle(0.5),
        "arm_now": LineStyle(_ARM),
        "facing": LineStyle(_CRISP),
        "measure": LineStyle(0.5),
        "reach": LineStyle(1.0),
        "moved": LineStyle(_CRISP),
        "anchor": LineStyle(2.0),
        "spread": LineStyle(0.5, shade="░"),
        "curve_dotted": LineStyle(0.5, dash=1.0, gap=3.0),
        "curve_dashed": LineStyle(0.5, dash=5.0, gap=2.0),
        "curve": LineStyle(0.5),
    }
)

SURFACES: frozenset[str] = frozenset(role for role, style in CELL_STYLES.items() if style.shade)
"""The roles that are surfaces; what lies on them is a line."""

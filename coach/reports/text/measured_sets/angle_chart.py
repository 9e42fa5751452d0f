"""The angle of one measured set over time, over the same repetitions at the tempo that was asked."""

from msgspec import Struct

from coach.drawing.plots.axes import numeric_axis, ticks
from coach.drawing.plots.plot import CurveRole, Line, Plot
from coach.drawing.plots.plot_rows import plot_lines
from coach.model.measured.measured_set import MeasuredSet
from coach.model.prescription import Tempo
from coach.overview.text_columns import WIDTH

_HEIGHT = 13
ASKED: CurveRole = "curve_dotted"
"""The line of the tempo that was asked; what was measured is solid."""


class AngleOverTime(Struct, frozen=True):
    """The angle of one set over the seconds of the table."""

    time_s: tuple[float, ...]
    angle_deg: tuple[float, ...]


def angle_lines(one: MeasuredSet, chart: AngleOverTime, tempo: Tempo, like: str) -> list[str]:
    """The angle as measured, over the same repetitions at the tempo that was asked."""
    asked_s: list[float] = []
    asked_deg: list[float] = []
    shown = tuple(max(angle, 0.0) for angle in chart.angle_deg)
    top = max(shown)
    for repetition in one.repetition:
        far = repetition.range_deg.value if repetition.range_deg is not None else top
        steps = (0.0, tempo.out_s, tempo.hold_s, tempo.back_s)
        at = [repetition.began_s + sum(steps[: number + 1]) for number in range(len(steps))]
        asked_s += at
        asked_deg += [0.0, far, far, 0.0]
    first, last = chart.time_s[0], chart.time_s[-1]
    x = [value for value in ticks(first, last, most=9) if first <= value <= last]
    measured = Line(tuple(zip(chart.time_s, shown, strict=True)))
    asked = Line(tuple(sorted(zip(asked_s, asked_deg, strict=True), key=lambda point: point[0])), ASKED)
    y = ticks(0.0, max([top, *asked_deg]), most=5)
    x_axis = {first: "", last: "", **numeric_axis(x, like)}
    plot = Plot(x_axis, numeric_axis(y, like), lines=(asked, measured) if asked_s else (measured,))
    return plot_lines(plot, WIDTH, _HEIGHT)

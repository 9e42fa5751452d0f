"""A chart of a client's history as a plot of a given width and height, with its legend."""

from collections.abc import Iterator
from datetime import date, timedelta
from textwrap import wrap

from coach.drawing.plots.axes import FRAME_ROWS, Axis, even_ticks, numeric_axis
from coach.drawing.plots.plot import CurveRole, Line, Marks, Plot, Spread
from coach.drawing.plots.plot_layout import LEAST_ROWS, PlotLayout
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import HistoryChartMessages
from coach.overview.history_chart import Chart, ChartPoint, Series

SAMPLES: dict[CurveRole, str] = {"curve": "▄▄▄", "curve_dashed": "▄ ▄", "curve_dotted": "▖ ▖"}
"""The lines as they are shown in a legend."""

SPREAD_SAMPLE = "░░░"
_DATE_WIDTH = 14  # columns, with space
_GAP = "   "
_MOST_APART = 2  # named rows; our own choice, no source
_LEAST_TICKS = 6  # so that a low plot is not lost between 0, 5 and 10


def chart_plot(chart: Chart, messages: HistoryChartMessages, columns: int, rows: int) -> Plot:
    """The chart, which must have a series, with as many labels as there is space for."""
    first, last = _days(chart)
    x_axis = {_x(day): fill(messages.day, {"date": day}) for day in _labelled_days(first, last, columns)}
    spreads = [tuple((_x(on), low, high) for on, low, high in one.spread) for one in chart.series]
    lines = [Line(_page(one.line), one.line_role) for one in chart.series if one.line]
    marks = [
        Marks(_page(points), sign)
        for hollow_first in (True, False)
        for one in chart.series
        for points, sign in (((one.within_error, one.hollow),) if hollow_first else ((one.points, one.mark),))
    ]
    y_axis = _y_axis(chart, rows, messages.day)
    return Plot(x_axis, y_axis, tuple(map(Spread, spreads)), tuple(lines), tuple(marks))


def legend_lines(chart: Chart, messages: HistoryChartMessages, columns: int, briefly: bool = False) -> list[str]:
    """What the marks and lines of a chart stand for, or that there is nothing to draw, at most `columns` wide.

    What several series share is named once. `briefly`: without numbers.
    """
    if not chart.series:
        return wrap(messages.none, columns)
    named = () if briefly and chart.rows else chart.series  # the rows have the names
    rows = [(_sample(one), one.brief if briefly and one.brief else one.label) for one in named]
    hollow = [(one.hollow, messages.hollow) for one in chart.series if one.hollow and one.within_error]
    rows += hollow[:1]
    spread = [SAMPLES[one.line_role] for one in chart.series if one.spread]
    rows += [row for sample in spread[:1] for row in ((sample, messages.mean), (SPREAD_SAMPLE, messages.spread))]
    lines: list[str] = []
    for sample, label in rows:
        text = f"{sample} {label}"
        if lines and len(lines[-1]) + len(_GAP) + len(text) <= columns:
            lines[-1] += f"{_GAP}{text}"
        else:
            lines += wrap(text, columns, subsequent_indent=" " * (len(sample) + 1))
    return lines


def drawn_rows(chart: Chart, messages: HistoryChartMessages, columns: int, rows: int) -> int:
    """How many of these rows a plot takes up: fewer where its values would not be equally far apart."""
    return PlotLayout(chart_plot(chart, messages, columns, rows), columns, rows).high + FRAME_ROWS


def rows_for(chart: Chart, room: int, least: int) -> int:
    """The rows of a plot in this room, at least `least`; of a chart with named rows, all equally far apart.

    Few named rows do not fill the room: what belongs together would be far apart.
    """
    if not chart.rows:
        return max(room, least)
    apart = min(max((room - FRAME_ROWS - 1) // max(len(chart.rows) - 1, 1), 1), _MOST_APART)
    return FRAME_ROWS + max(1 + apart * (len(chart.rows) - 1), LEAST_ROWS)


def _sample(one: Series) -> str:
    return one.mark or SAMPLES[one.line_role]


def _y_axis(chart: Chart, rows: int, like: str) -> Axis:
    """The vertical axis; its numbers are written in the language of the message `like`."""
    if chart.rows:
        return {float(number): name for number, name in enumerate(chart.rows, start=1)}
    values = [value for one in chart.series for value in _values(one)]
    low, high = chart.span or (min(values), max(values))
    return numeric_axis(even_ticks(low, high, max(2 * rows // 5, _LEAST_TICKS), rows), like)


def _values(one: Series) -> Iterator[float]:
    yield from (value for points in (one.points, one.within_error, one.line) for _, value in points)
    yield from (value for _, low, high in one.spread for value in (low, high))


def _labelled_days(first: date, last: date, columns: int) -> list[date]:
    """The first day, the last, and as many evenly spaced days between as there is space for."""
    days = (last - first).days
    parts = min(max(columns // (2 * _DATE_WIDTH), 1), days)
    return [first + timedelta(days=round(days * part / parts)) for part in range(parts + 1)]


def _days(chart: Chart) -> tuple[date, date]:
    """The first and the last day of the chart, at least one day apart."""
    days = [on for one in chart.series for points in (one.points, one.within_error, one.line) for on, _ in points]
    first, last = chart.days or (min(days), max(days))
    first, last = min(first, *days), max(last, *days)
    return first, max(last, first + timedelta(days=1))


def _page(points: tuple[ChartPoint, ...]) -> tuple[tuple[float, float], ...]:
    return tuple((_x(on), value) for on, value in points)


def _x(day: date) -> float:
    return float(day.toordinal())

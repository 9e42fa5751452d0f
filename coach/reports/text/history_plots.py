"""Charts of the history drawn in characters; series differ by their marks, so that no colour is needed."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from textwrap import wrap

from coach.model.message_format import fill
from coach.model.messages.therapist_reports import HistoryChartMessages
from coach.overview.history_chart import Chart, ChartPoint, Series
from coach.reports.text.layout import WIDTH, heading
from coach.reports.text.plot import Axis, Curve, draw, numeric_axis, sample, ticks

_HEIGHT, _MIN_HEIGHT = 16, 7
_DATE_WIDTH = 14  # columns, with space
_MARK = 4
_FRAME = 3  # rows: the lines above and below, and the dates


def charts_text(made: Sequence[Chart], messages: HistoryChartMessages) -> str:
    """The charts one below the other, at most 80 columns wide."""
    lines: list[str] = []
    for chart in made:
        lines += [*heading(chart.title), *chart_lines(chart, messages, WIDTH)]
    return "\n".join(lines).strip("\n") + "\n"


def chart_lines(chart: Chart, messages: HistoryChartMessages, width: int, height: int | None = None) -> list[str]:
    """The chart with its legend and notes, in `width` columns, and in `height` rows if they suffice."""
    if not chart.series:
        return wrap(messages.none, width)
    below = [line for one in chart.series for line in _row(_sample(one), one.label, width)]
    below += [line for note in chart.notes for line in wrap(note, width)]
    rows = _rows_for(chart, _HEIGHT if height is None else height - len(below))
    return [*_plot(chart, messages, width, rows), *below]


def _rows_for(chart: Chart, room: int) -> int:
    """The rows of the plot; named rows are spaced evenly."""
    if not chart.rows:
        return max(room, _MIN_HEIGHT)
    apart = max((room - _FRAME - 1) // max(len(chart.rows) - 1, 1), 1)
    return _FRAME + 1 + apart * (len(chart.rows) - 1)


def _plot(chart: Chart, messages: HistoryChartMessages, width: int, height: int) -> list[str]:
    first, last = _days(chart)
    x_axis = {float(day.toordinal()): fill(messages.day, {"date": day}) for day in _labelled_days(first, last, width)}
    curves = [
        Curve(tuple(day.toordinal() for day, _ in points), tuple(value for _, value in points), mark, joined=False)
        for mark, points in _points_by_mark(chart)
    ]
    return draw(curves, width, height, x_axis, _y_axis(chart, height, messages.day))


def _y_axis(chart: Chart, height: int, like: str) -> Axis:
    """The vertical axis; its numbers are written in the language of the message `like`."""
    if chart.rows:
        return {float(number): name for number, name in enumerate(chart.rows, start=1) if name}
    values = [value for _, points in _points_by_mark(chart) for _, value in points]
    low, high = chart.span or (min(values), max(values))
    return numeric_axis(ticks(low, high, most=max(height // 3, 3)), like)


def _labelled_days(first: date, last: date, width: int) -> list[date]:
    """The first day, the last, and as many evenly spaced days between as there is space for."""
    days = (last - first).days
    parts = min(max(width // (2 * _DATE_WIDTH), 1), days)
    return [first + timedelta(days=round(days * part / parts)) for part in range(parts + 1)]


def _points_by_mark(chart: Chart) -> Iterator[tuple[str, tuple[ChartPoint, ...]]]:
    """Each mark with its points; lower-case marks come first, so that capitals are drawn over them."""
    for one in chart.series:
        if one.within_error:
            yield one.mark.lower(), one.within_error
        if one.points:
            yield one.mark, one.points


def _sample(one: Series) -> str:
    """The marks of a series as shown in the legend."""
    return f"{one.mark}{one.mark.lower()}" if one.mark.isupper() else sample(one.mark)


def _days(chart: Chart) -> tuple[date, date]:
    """The first and the last day of the chart, at least one day apart."""
    days = [on for _, points in _points_by_mark(chart) for on, _ in points]
    first, last = chart.days or (min(days), max(days))
    first, last = min(first, *days), max(last, *days)
    return first, max(last, first + timedelta(days=1))


def _row(mark: str, label: str, width: int) -> list[str]:
    return wrap(label, width, initial_indent=mark.ljust(_MARK), subsequent_indent=" " * _MARK)

"""Charts of the history as text; series differ by their marks and lines, so that no colour is needed."""

from collections.abc import Sequence
from textwrap import wrap

from coach.drawing.plots.plot_rows import plot_lines
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import HistoryChartMessages
from coach.overview.chart_plot import chart_plot, legend_lines, rows_for
from coach.overview.history_chart import Chart
from coach.overview.text_columns import WIDTH
from coach.reports.text.layout import heading

_HEIGHT, _MIN_HEIGHT = 16, 7


def charts_text(made: Sequence[Chart], messages: HistoryChartMessages, profile: str) -> str:
    """The charts one below the other, at most 80 columns wide."""
    lines: list[str] = []
    for chart in made:
        title = fill(messages.title, {"profile": profile, "picture": chart.title})
        lines += [*heading(title), *chart_lines(chart, messages, WIDTH)]
    return "\n".join(lines).strip("\n") + "\n"


def chart_lines(chart: Chart, messages: HistoryChartMessages, width: int) -> list[str]:
    """The chart in `width` columns, with its legend and notes."""
    below = [*legend_lines(chart, messages, width), *(line for note in chart.notes for line in wrap(note, width))]
    if not chart.series:
        return below
    rows = rows_for(chart, _HEIGHT, _MIN_HEIGHT)
    return [*plot_lines(chart_plot(chart, messages, width, rows), width, rows), *below]

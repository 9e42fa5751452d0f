"""The course of one client as plots below each other: load with its spread, pain, form faults; and instructions."""

from collections.abc import Sequence
from functools import partial

from msgspec import Struct
from textual.app import ComposeResult
from textual.containers import Vertical

from coach.model.messages.therapist_reports import ChartName, HistoryChartMessages
from coach.overview.chart_plot import chart_plot, drawn_rows, legend_lines, rows_for
from coach.overview.history_chart import Chart
from coach.screens.widgets.panel import Panel
from coach.screens.widgets.plot_view import PlotView
from coach.screens.widgets.text import static_text

_LEAST_ROWS, _MOST_ROWS = 6, 24
_LEAST_COLUMNS = 36
_PANEL_EDGES, _PANEL_ROWS = 5, 2


class ClientCourse(Struct, frozen=True):
    """What a client did and was told: charts, and the signed instructions and visits, the newest first.

    `refused` says why neither could be read.
    """

    charts: Sequence[Chart]
    instructions: Sequence[str] = ()
    refused: str = ""


class ClientPlots(Vertical):
    """The named charts with data of one client; those with rows of names are as high as these need."""

    def __init__(self, shown: Sequence[ChartName], messages: HistoryChartMessages, id: str | None = None) -> None:
        super().__init__(id=id)
        self._shown, self._messages = shown, messages
        self._charts: tuple[Chart, ...] = ()
        self._room = 0

    def show(self, charts: Sequence[Chart], room: int) -> None:
        """Show the charts of another client, or none, in so many rows together if that is possible."""
        found = {chart.name: chart for chart in charts if chart.series}
        self._charts = tuple(found[name] for name in self._shown if name in found)
        self._room = room
        self.refresh(recompose=True)

    def compose(self) -> ComposeResult:
        """Each chart in a panel with its title and what its marks mean."""
        columns = max(self.size.width - _PANEL_EDGES, _LEAST_COLUMNS)
        legends = [self._legend(chart, columns) for chart in self._charts]
        fixed = [rows_for(chart, 0, 0) if chart.rows else 0 for chart in self._charts]
        left = self._room - sum(fixed) - sum(len(legend) + _PANEL_ROWS for legend in legends)
        each = min(max(left // max(fixed.count(0), 1), _LEAST_ROWS), _MOST_ROWS)
        for chart, rows, legend in zip(self._charts, fixed, legends, strict=True):
            view = PlotView(partial(chart_plot, chart, self._messages))
            view.styles.height = rows or drawn_rows(chart, self._messages, columns, each)
            below = [static_text("\n".join(legend), "quiet")] if legend else []
            yield Panel(chart.title, view, *below)

    def _legend(self, chart: Chart, columns: int) -> list[str]:
        """The marks of faults are numbers, of which the title says what they count."""
        return [] if chart.name == "faults" else legend_lines(chart, self._messages, columns, briefly=True)

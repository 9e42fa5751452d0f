"""The course of one client as plots below each other: load with its spread, pain, form faults; and instructions."""

from collections.abc import Callable, Sequence
from functools import partial

from msgspec import Struct
from textual.app import ComposeResult
from textual.containers import Vertical

from coach.model.messages.therapist_reports import ChartName, HistoryChartMessages
from coach.overview.chart_plot import chart_plot, legend_lines, only_reported, rows_for
from coach.overview.history_chart import Chart
from coach.screens.widgets.plot_view import PlotView
from coach.screens.widgets.text import static_text

_LEAST_ROWS, _MOST_ROWS = 7, 24
_LEAST_COLUMNS = 40


class ClientCourse(Struct, frozen=True):
    """What a client did and was told: charts, and the signed instructions and visits, the newest first."""

    charts: Sequence[Chart]
    instructions: Sequence[str] = ()


CourseOf = Callable[[str], ClientCourse]


class ClientPlots(Vertical):
    """The named charts with data of one client, each `rows` high or as high as its rows need."""

    def __init__(self, shown: Sequence[ChartName], messages: HistoryChartMessages, id: str | None = None) -> None:
        super().__init__(id=id)
        self._shown, self._messages = shown, messages
        self._charts: tuple[Chart, ...] = ()
        self._rows = _LEAST_ROWS

    def show(self, charts: Sequence[Chart], rows: int) -> None:
        """Show the charts of another client, or none."""
        found = {chart.name: chart for chart in charts if chart.series}
        self._charts = tuple(only_reported(found[name]) for name in self._shown if name in found)
        self._rows = min(max(rows, _LEAST_ROWS), _MOST_ROWS)
        self.refresh(recompose=True)

    def compose(self) -> ComposeResult:
        """Each chart with its title and what its marks mean."""
        for chart in self._charts:
            yield static_text(chart.title, "list-title")
            view = PlotView(partial(chart_plot, chart, self._messages))
            view.styles.height = rows_for(chart, 0 if chart.rows else self._rows, _LEAST_ROWS)
            yield view
            if not chart.rows:
                columns = max(self.size.width, _LEAST_COLUMNS)
                yield static_text("\n".join(legend_lines(chart, self._messages, columns)))

"""Every chart of a client's history."""

from collections.abc import Callable

from coach.overview.history_chart import Chart, ClientHistory
from coach.overview.measurement_charts import activities_chart, pain_chart, range_chart, strength_chart
from coach.overview.training_charts import adherence_chart, faults_chart, load_chart, repetitions_chart

_CHARTS: tuple[Callable[[ClientHistory], Chart], ...] = (
    load_chart,
    repetitions_chart,
    pain_chart,
    faults_chart,
    range_chart,
    strength_chart,
    adherence_chart,
    activities_chart,
)


def history_charts(history: ClientHistory) -> tuple[Chart, ...]:
    """Every chart, in the order in which they are shown; one without data has no series."""
    return tuple(make(history) for make in _CHARTS)

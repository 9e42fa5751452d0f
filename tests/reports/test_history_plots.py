"""A client's history as pictures: what the records hold is in them, in 80 columns and without colour."""

from datetime import date
from pathlib import Path

import pytest

from coach.commands.support.loading import client_history
from coach.drawing.plots.axes import FRAME_ROWS
from coach.drawing.plots.plot_rows import plot_lines
from coach.overview.chart_plot import chart_plot, rows_for
from coach.overview.history_chart import Chart, ClientHistory
from coach.overview.history_charts import history_charts
from coach.reports.text.history_plots import chart_lines, charts_text
from tests.demo.histories import HISTORIES


@pytest.fixture
def heron(demo_profiles: Path) -> ClientHistory:
    return client_history(demo_profiles / "heron")


def _named(history: ClientHistory, name: str) -> Chart:
    return next(one for one in history_charts(history) if one.name == name)


def test_every_session_is_in_the_load_once_at_its_position(heron: ClientHistory) -> None:
    series = _named(heron, "load").series
    assert sorted(on for one in series for on, _ in one.line) == HISTORIES["heron"].days()
    assert [one.label for one in series] == ["at 0 degrees", "at 45 degrees", "at 90 degrees"]
    for one in series:
        assert [on for on, _, _ in one.spread] == [on for on, _ in one.line]
        assert all(low < load < high for (_, load), (_, low, high) in zip(one.line, one.spread, strict=True))
        assert set(one.points) <= set(one.line)
        assert len({load for _, load in one.points}) == len({load for _, load in one.line})


def test_pain_that_was_put_in_comes_out(heron: ClientHistory) -> None:
    """Sessions 9 and 10 and 50 were sore: 2 before and 3 during. The second of two alike is no change."""
    days = HISTORIES["heron"].days()
    chart = _named(heron, "pain")
    series = {one.mark: one for one in chart.series}
    assert chart.rows == ("0", "1", "2", "during 3", "", "0", "1", "2", "before 3")
    before, during = 6, 1  # the rows of no pain, from below
    assert (days[8], before + 2.0) in series["●"].points
    assert (days[9], before + 2.0) in series["●"].within_error
    assert (days[8], during + 3.0) in series["■"].points
    assert (days[49], during + 3.0) in series["■"].points


def test_every_pain_that_was_said_is_seen(heron: ClientHistory) -> None:
    """None covers another: as many marks in the drawing as answers, in a row for each value."""
    chart = _named(heron, "pain")
    drawn = [line for line in chart_lines(chart, heron.messages, 240) if "┤" in line]
    for one in chart.series:
        seen = sum(line.partition("┤")[2].count(mark) for line in drawn for mark in (one.mark, one.hollow))
        assert seen == len(one.points) + len(one.within_error)
    rows = [line.partition("┤")[0].strip() for line in drawn if "┤" in line]
    assert [row for row in rows if row] == [row for row in reversed(chart.rows) if row]


def test_faults_stand_in_the_row_of_their_kind(heron: ClientHistory) -> None:
    chart, days = _named(heron, "faults"), HISTORIES["heron"].days()
    blade = 1 + chart.rows.index("the shoulder blade pulled back")
    once = next(one for one in chart.series if one.mark == "1")
    assert (days[3], blade) in once.points
    assert (days[20], len(chart.rows)) in next(one for one in chart.series if one.mark == "?").points


def test_the_chart_of_faults_is_as_high_as_what_it_shows(heron: ClientHistory) -> None:
    """A row for each kind that was reported, and in a high window no more than two rows apart."""
    chart = _named(heron, "faults")
    rows = sorted({row for one in chart.series for _, row in one.points})
    assert rows == [1, 2, 3, 4] == list(range(1, len(chart.rows) + 1))
    assert chart.rows[-1] == heron.messages.series["not_sure"]
    assert rows_for(chart, 16, 7) == rows_for(chart, 60, 7) == 2 * 3 + 1 + FRAME_ROWS


def test_adherence_counts_whole_weeks_only(heron: ClientHistory) -> None:
    history = ClientHistory(
        heron.profile, heron.prescription, heron.judged, heron.now, heron.content, HISTORIES["heron"].first
    )
    assert _named(history, "adherence").series == ()
    week = ClientHistory(heron.profile, heron.prescription, heron.judged, heron.now, heron.content, date(2026, 7, 12))
    trained = next(one for one in _named(week, "adherence").series if one.mark == "●")
    assert trained.points == ((date(2026, 7, 6), 3),)


@pytest.mark.parametrize("name", ["tern", "plover", "heron"])
def test_no_line_is_too_wide_and_nothing_is_coloured(demo_profiles: Path, name: str) -> None:
    history = client_history(demo_profiles / name)
    text = charts_text(history_charts(history), history.messages, name)
    assert max(map(len, text.splitlines())) <= 80
    assert "\x1b" not in text


@pytest.mark.parametrize("columns", [58, 80, 118])
def test_a_picture_takes_the_rows_and_columns_it_is_given(heron: ClientHistory, columns: int) -> None:
    for chart in history_charts(heron):
        assert max(map(len, chart_lines(chart, heron.messages, columns))) <= columns
        if chart.series:
            rows = rows_for(chart, 20, 7)
            drawn = len(plot_lines(chart_plot(chart, heron.messages, columns, rows), columns, rows))
            assert drawn == rows if chart.rows else rows * 3 / 4 <= drawn <= rows, "labels stand at equal distances"
            assert rows <= 20 or chart.name == "pain"

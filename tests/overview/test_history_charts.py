"""Charts of two motions: each exercise or direction is a series of its own and compared only with itself."""

from datetime import date, timedelta

from msgspec.structs import replace

from coach.model.profile import AvailableRange, Strength
from coach.model.record import Record, SetDone
from coach.overview.chart_plot import chart_plot
from coach.overview.history_chart import Chart, ClientHistory
from coach.overview.history_charts import history_charts
from coach.progression.state_machine import advance
from coach.session.plan import open_record
from tests.clocks import START
from tests.plans import plan_of

FIRST = date(2026, 7, 6)


def _record(days: int, exercise: str) -> Record:
    """A record of one set, so many days after the first."""
    at = START + timedelta(days=days)
    done = SetDone(at=at, number=1, repetitions=8, under_load_s=64.0, end="done")
    return open_record(plan_of("tern"), at).model_copy(update={"exercise": exercise, "entry": (done,)})


def _history(*records: Record) -> ClientHistory:
    """Tern's history: two directions measured at 0 degrees, one day apart, and these records."""
    plan = plan_of("tern")
    ranges = (
        AvailableRange(position="0", direction="external", available_deg=60, on=FIRST),
        AvailableRange(position="0", direction="internal", available_deg=80, on=FIRST + timedelta(days=1)),
        AvailableRange(position="0", direction="external", available_deg=62, on=FIRST + timedelta(days=28)),
    )
    strengths = (
        Strength(position="0", direction="external", force_n=50, lever_m=0.3, on=FIRST),
        Strength(position="0", direction="internal", force_n=100, lever_m=0.3, on=FIRST + timedelta(days=1)),
    )
    profile = plan.profile.model_copy(update={"ranges": ranges, "strengths": strengths})
    judged = tuple(advance(plan.before, record, plan.book) for record in records)
    return ClientHistory(profile, plan.prescription, judged, plan.before, plan.content, FIRST + timedelta(days=60))


def _named(history: ClientHistory, name: str) -> Chart:
    return next(one for one in history_charts(history) if one.name == name)


def test_the_axis_of_repetitions_has_whole_numbers_from_the_first_session_on() -> None:
    history = _history(_record(0, "external_rotation"))
    axis = chart_plot(_named(history, "repetitions"), history.messages, 80, 18).y_axis
    assert all(label.isdecimal() for label in axis.values()), axis


def test_ranges_of_two_directions_are_two_series() -> None:
    """60 and 62 degrees of external rotation differ by less than the error of 5; 80 degrees is another motion."""
    series = _named(_history(), "range").series
    assert [(one.mark, [value for _, value in one.points + one.within_error]) for one in series] == [
        ("●", [60, 62]),
        ("■", [80]),
    ]
    assert [value for _, value in series[0].within_error] == [62]
    external, internal = (one.label for one in series)
    assert external == "external rotation, at 0 degrees: 60.0 first, 62.0 last, +2.0, within the error"
    assert internal == "internal rotation, at 0 degrees"


def test_strengths_of_two_directions_are_two_series() -> None:
    series = _named(_history(), "strength").series
    assert [[value for _, value in one.points + one.within_error] for one in series] == [[15.0], [30.0]]


def test_loads_of_two_exercises_are_two_series_told_apart_by_their_marks() -> None:
    history = _history(
        _record(0, "external_rotation"), _record(2, "internal_rotation"), _record(4, "external_rotation")
    )
    series = _named(history, "load").series
    assert [(one.mark, len(one.line)) for one in series] == [("●", 2), ("■", 1)]
    assert series[0].label == "External rotation with a band, at 0 degrees"
    assert series[1].label == "Internal rotation with a band, at 0 degrees"


def test_one_exercise_is_not_named() -> None:
    (series,) = _named(_history(_record(0, "external_rotation")), "load").series
    assert (series.mark, series.label) == ("●", "at 0 degrees")


def test_no_series_is_left_out_however_many_there_are() -> None:
    """Two directions in four positions: more than half a dozen series."""
    history = _history()
    ranges = tuple(
        AvailableRange(position=position, direction=direction, available_deg=60, on=FIRST)
        for position in ("0", "30", "45", "90")
        for direction in ("external", "internal")
    )
    history = replace(history, profile=history.profile.model_copy(update={"ranges": ranges}))
    assert len({one.mark for one in _named(history, "range").series}) == 8


def test_the_change_in_a_label_is_that_of_the_values_beside_it() -> None:
    """60.04 and 62.46 degrees are told as 60.0 and 62.5: the change was said to be 2.4."""
    history = _history()
    ranges = tuple(
        AvailableRange(position="0", direction="external", available_deg=degrees, on=FIRST + timedelta(days=days))
        for degrees, days in ((60.04, 0), (62.46, 28))
    )
    changed = replace(history, profile=history.profile.model_copy(update={"ranges": ranges}))
    (series,) = _named(changed, "range").series
    assert "60.0" in series.label
    assert "62.5" in series.label
    assert "+2.5" in series.label

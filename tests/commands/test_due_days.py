"""All reports ask for the same days, where an exercise of a programme has days of its own."""

from datetime import date, timedelta
from pathlib import Path

import icalendar
import pytest

from coach.cli import main
from coach.commands.support.caseload_loading import caseload_lines
from coach.commands.support.loading import history_of_exercise
from coach.model.programme.due_days import DueDays, due_days
from coach.overview.training_charts import adherence_chart
from coach.store.client_store import ClientStore
from coach.store.programme.opening import due_exercises
from tests.clocks import FakeClock
from tests.store.programme.by_hand import MONDAY, content


@pytest.fixture(autouse=True)
def the_day(monkeypatch: pytest.MonkeyPatch) -> FakeClock:
    """The Monday after the demo histories, whatever the clock of this computer says."""
    clock = FakeClock(MONDAY)
    monkeypatch.setattr("coach.store.clock.now", clock)
    return clock


def _told(*command: str | Path, capsys: pytest.CaptureFixture[str]) -> str:
    capsys.readouterr()
    assert main([str(one) for one in command]) == 0
    return " ".join(capsys.readouterr().out.split())


def _events(client: Path, to: Path) -> dict[date, str]:
    """The days of the calendar with what they describe."""
    to.unlink(missing_ok=True)
    assert main(["progress", str(client), "--calendar", str(to)]) == 0
    events = icalendar.Calendar.from_ical(to.read_bytes()).walk("VEVENT")
    return {event.decoded("dtstart"): str(event.get("description", "")) for event in events}


def test_all_reports_ask_for_the_days_of_a_row_on_four_days(
    demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The six sessions are from Wednesday the 11th to Monday the 23rd: eight days due then, twelve until today."""
    client = demo_profiles / "curlew"
    assert "6 days in 2 weeks; 8 were asked for" in _told("letter", client, "--text", capsys=capsys)
    assert "6 of 12 days due (50 %)" in _told("visit", client, capsys=capsys)
    (line,) = (one for one in caseload_lines(demo_profiles) if one.folder == "curlew")
    assert line.adherence == 0.5
    events = _events(client, tmp_path / "days.ics")
    assert {day.weekday() for day in events} == {0, 2, 4, 5}
    assert set(events.values()) == {""}  # every exercise is due on each of them
    saturday = MONDAY + timedelta(days=5)
    store = ClientStore.read(client, content())
    assert [one.folder.name for one in due_exercises(store, saturday)] == list(store.folder.prescribed.names)


def test_the_chart_of_days_kept_has_the_own_days_of_an_exercise(demo_profiles: Path) -> None:
    store = ClientStore.read(demo_profiles / "curlew", content())
    lines = [adherence_chart(history_of_exercise(one)).series[0].line for one in store.exercises]
    assert [{due for _, due in line} for line in lines] == [{3.0}, {3.0}, {3.0}, {4.0}]


def test_an_entry_of_the_calendar_says_which_exercises_are_due_where_they_differ(
    demo_profiles: Path, tmp_path: Path
) -> None:
    client = demo_profiles / "curlew"
    path = client / "programme" / "0001.toml"
    changed = path.read_text(encoding="utf-8").replace(
        'exercise = "internal_rotation"\n', 'exercise = "internal_rotation"\ndays = ["tuesday"]\n'
    )
    path.write_text(changed, encoding="utf-8")
    by_weekday = {day.weekday(): told for day, told in _events(client, tmp_path / "days.ics").items()}
    assert by_weekday[1] == "Exercises 1, 2, and 3 of 4."
    assert by_weekday[5] == "Exercises 1, 2, and 4 of 4."


@pytest.mark.parametrize(
    ("exercises", "due"),
    [
        ([(3, ())], DueDays(3)),
        ([(2, ()), (4, ())], DueDays(4)),
        ([(3, ()), (3, ("saturday", "monday"))], DueDays(3, ("monday", "saturday"))),
        ([(3, ("monday",)), (3, ("friday",))], DueDays(2, ("monday", "friday"))),
    ],
)
def test_the_due_days_of_exercises(exercises: list[tuple[int, tuple[str, ...]]], due: DueDays) -> None:
    assert due_days(exercises) == due  # type: ignore[arg-type]  # names of weekdays


def test_named_weekdays_are_counted_and_others_are_spread() -> None:
    monday = MONDAY.date()
    assert DueDays(2, ("monday", "saturday")).in_span(monday, monday + timedelta(days=7)) == 3
    assert DueDays(3, ("monday", "saturday")).in_span(monday, monday + timedelta(days=6)) == 3
    assert DueDays(3).in_span(monday, monday + timedelta(days=13)) == 6

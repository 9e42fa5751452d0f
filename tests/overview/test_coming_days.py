"""The days of coming sessions: as many in a week as were prescribed, and never more in any seven days."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from itertools import islice, pairwise
from pathlib import Path

import icalendar
import pytest

from coach.model.profile import WEEKDAYS, TrainingPlan
from coach.model.programme.due_days import DueDays
from coach.overview.coming_days import coming_days
from coach.reports.tables.session_calendar import session_calendar
from coach.store.client_store import ClientStore
from coach.store.programme.days_trained import days_trained
from coach.store.programme.opening import as_at_home
from tests.plans import shipped

TODAY = date(2026, 11, 28)
WEEK = timedelta(days=7)


def most_in_seven_days(days: Sequence[date]) -> int:
    return max(sum(first <= day < first + WEEK for day in days) for first in days)


@pytest.mark.parametrize("a_week", range(1, 8))
@pytest.mark.parametrize("weekday", range(7))
def test_the_calendar_has_as_many_days_in_each_week_as_were_prescribed(a_week: int, weekday: int) -> None:
    now = datetime.fromisoformat("2026-11-23T12:00:00+01:00") + timedelta(days=weekday)
    written = session_calendar("tern", None, DueDays(a_week), 12, shipped(), now)
    days = [event.decoded("dtstart") for event in icalendar.Calendar.from_ical(written).walk("VEVENT")]
    today = now.date()
    each = [sum(today + week * WEEK < day <= today + (week + 1) * WEEK for day in days) for week in range(4)]
    assert each == [a_week] * 4
    assert len(days) == 4 * a_week
    assert most_in_seven_days([today, *days]) == a_week


@pytest.mark.parametrize("a_week", range(1, 8))
def test_the_days_are_spread_evenly(a_week: int) -> None:
    days = [TODAY, *islice(coming_days(None, DueDays(a_week), TODAY), 4 * a_week)]
    gaps = [(after - before).days for before, after in pairwise(days)]
    assert max(gaps) - min(gaps) <= 1
    if a_week > 1:
        pairs = [(after - before).days for before, after in zip(days, days[2:], strict=False)]
        assert max(pairs) - min(pairs) <= 1


@pytest.mark.parametrize("a_week", range(1, 8))
def test_who_follows_the_next_session_that_is_told_does_not_train_more_often(a_week: int) -> None:
    done = [TODAY]
    for _ in range(40):
        done.append(next(coming_days(None, DueDays(a_week), done[-1], done)))
    assert most_in_seven_days(done) == a_week
    assert (done[-1] - done[0]).days == 40 * 7 // a_week


@pytest.mark.parametrize(
    ("done", "a_week", "coming"),
    [
        (("2026-11-24", "2026-11-26", "2026-11-28"), 3, ["2026-12-01", "2026-12-03"]),
        (("2026-11-26", "2026-11-27", "2026-11-28"), 3, ["2026-12-03", "2026-12-05"]),
        (("2026-11-23", "2026-11-25", "2026-11-27"), 3, ["2026-11-30", "2026-12-02"]),  # nothing more today
        (("2026-11-22",), 1, ["2026-11-29", "2026-12-06"]),
        (("2026-10-01", "2027-05-01"), 3, ["2026-11-30", "2026-12-02"]),  # long ago, and by a wrong clock
    ],
)
def test_what_was_done_this_week_counts(done: tuple[str, ...], a_week: int, coming: list[str]) -> None:
    found = islice(coming_days(None, DueDays(a_week), TODAY, map(date.fromisoformat, done)), 2)
    assert [day.isoformat() for day in found] == coming


def test_the_clients_own_days_stay_whatever_was_done() -> None:
    own = TrainingPlan(days=WEEKDAYS)
    assert next(coming_days(own, DueDays(3), TODAY, [TODAY - timedelta(days=day) for day in range(6)])) == date(
        2026, 11, 29
    )


def test_the_days_with_a_set_are_those_of_the_records(demo_profiles: Path) -> None:
    store = ClientStore.read(demo_profiles / "heron", shipped())
    days = days_trained(store.folder)
    assert days == tuple(sorted({one.record.started.date() for one in store.sessions if one.record.sets_done}))
    plan = store.admission(datetime.fromisoformat("2026-11-21T12:00:00+01:00"), store.progress).plan
    assert plan is not None
    assert as_at_home(store, plan).trained_on == days

"""What a client needs the therapist for: worked by hand, a case for each need and for each limit on both sides."""

from datetime import date, timedelta

import pytest

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.caseload import ClientSummary, Need
from coach.progression.needs import NEED_TESTS, adherence, needs_of
from tests.plans import shipped

TODAY = date(2026, 11, 25)
_NEEDS = load_needs(content_folder())
_WELL = ClientSummary(
    folder="x",
    days_a_week=3,
    prescribed_on=TODAY - timedelta(days=40),
    first_session=TODAY - timedelta(days=40),
    last_seen=TODAY - timedelta(days=2),
    rule="otherwise",
)


def _names(client: ClientSummary) -> list[str]:
    return [need.name for need in needs_of(client, _NEEDS, shipped().limit_values(client.limits), TODAY)]


def _ago(days: int) -> date:
    return TODAY - timedelta(days=days)


@pytest.mark.parametrize(
    ("update", "names"),
    [
        ({}, []),
        ({"status": "review", "rule": "warning_sign"}, ["warning_sign"]),
        ({"status": "active", "rule": "otherwise"}, []),
        ({"status": "review", "rule": "position_ready"}, ["review"]),
        ({"fault": "torn"}, ["unreadable"]),
        ({"rule": "pain_over_limit", "status": "paused"}, ["stopped_by_pain"]),
        ({"tell": {"pain_rising": "told"}}, ["pain_rising"]),
        ({"rule": "pain_rising_fast"}, ["pain_rising"]),
        ({"rule": "not_settled"}, ["pain_rising"]),
        ({"rule": "equipment_failed"}, ["equipment"]),
        ({"under_sessions": 1}, []),
        ({"under_sessions": 2}, ["under_performing"]),
        ({"under_sessions": 2, "limits": {"under_watch_sessions": 3.0}}, []),
        ({"rule": "under_performed"}, ["under_performing"]),
        ({"last_seen": _ago(10)}, []),
        ({"last_seen": _ago(11)}, ["not_seen"]),
        ({"last_seen": _ago(11), "limits": {"not_seen_days": 14.0}}, []),
        ({"last_seen": None, "first_session": None, "prescribed_on": _ago(10)}, []),
        ({"last_seen": None, "first_session": None, "prescribed_on": _ago(11)}, ["not_begun"]),
        ({"band_age": 0.05}, []),
        ({"band_age": 0.051}, ["band_to_measure"]),
        ({"band_age": 0.051, "limits": {"band_age_max": 0.1}}, []),
        ({"band_age": 0.2, "status": "complete"}, ["complete"]),
        ({"first_session": _ago(83)}, []),
        ({"first_session": _ago(84)}, ["twelve_weeks"]),
        ({"first_session": _ago(200), "looked_at": _ago(83)}, []),
        ({"status": "complete", "last_seen": _ago(50), "first_session": _ago(200)}, ["complete"]),
        (
            {"status": "review", "rule": "warning_sign", "last_seen": _ago(30), "under_sessions": 2},
            ["warning_sign", "under_performing", "not_seen"],
        ),
    ],
)
def test_each_need(update: dict[str, object], names: list[str]) -> None:
    assert _names(_WELL.model_copy(update=update)) == names


@pytest.mark.parametrize(("days", "needed"), [(0, False), (1, True)])
def test_a_need_without_a_limit_begins_at_once(days: int, needed: bool) -> None:
    need = Need(name="away", when="not_seen", source="Ours", mark="ours")
    assert bool(needs_of(_WELL.model_copy(update={"last_seen": _ago(days)}), (need,), {}, TODAY)) == needed


def test_a_file_that_cannot_be_read_hides_nothing_else() -> None:
    """What is not known is not said."""
    client = ClientSummary(folder="x", fault="torn", status="review", rule="warning_sign")
    assert _names(client) == ["unreadable"]


def test_every_test_is_used_and_every_need_has_one() -> None:
    assert {need.when for need in _NEEDS} == set(NEED_TESTS)


@pytest.mark.parametrize(
    ("days_ago", "share"),
    [
        ((), 0.0),
        ((1, 3, 5, 8, 10, 12, 15, 17, 19, 22, 24, 26), 1.0),  # 12 of 12: three days a week, four weeks
        ((1, 3, 5, 8, 10, 12), 0.5),
        ((1, 1, 1, 3, 5, 8, 10, 12), 0.5),  # a second session on one day is no further day
        ((28, 29, 35), 0.0),  # before the four weeks
        ((0, *range(1, 28)), 1.0),  # every day: more than prescribed is no more than all
    ],
)
def test_adherence_counts_days_against_the_prescribed_ones(days_ago: tuple[int, ...], share: float) -> None:
    """Three days a week for four weeks are twelve."""
    client = _WELL.model_copy(update={"trained_on": tuple(_ago(days) for days in days_ago)})
    assert adherence(client, 4, TODAY) == pytest.approx(share)


def test_adherence_of_one_who_has_just_begun_counts_from_there() -> None:
    """One week of three sessions, all done; and nothing to say before the first."""
    begun = _WELL.model_copy(update={"first_session": _ago(6), "trained_on": (_ago(6), _ago(4), _ago(2))})
    assert adherence(begun, 4, TODAY) == pytest.approx(1.0)
    assert adherence(begun.model_copy(update={"first_session": None}), 4, TODAY) is None

"""What a client needs the therapist for: worked by hand, a case for each need and for each limit on both sides."""

from datetime import date, timedelta

import pytest

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.caseload import AnsweredNeed, ClientSummary, Need
from coach.progression.needs import NEED_TESTS, adherence, needs_of, not_reached
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
        ({"tell": {"not_clear": "told"}}, ["not_clear"]),
        ({"rule": "pain_not_said"}, ["not_clear"]),  # of a record before that was told
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


def _answered(need: str, how: str = "answered", **values: object) -> dict[str, object]:
    return {"answered": (AnsweredNeed.model_validate({"need": need, "how": how, "on": _ago(3), **values}),)}


@pytest.mark.parametrize(
    ("update", "answer", "still"),
    [
        ({"rule": "pain_over_limit", "status": "paused"}, _answered("stopped_by_pain"), False),
        (
            {"rule": "pain_over_limit", "status": "paused"},
            _answered("stopped_by_pain", known=False),
            True,
        ),  # again
        # What was told before the answer stays in the progress: only another session that tells it counts.
        ({"tell": {"not_clear": "told"}}, _answered("not_clear", known=False, told_since=("otherwise",)), False),
        ({"tell": {"not_clear": "told"}}, _answered("not_clear", known=False, told_since=("not_clear",)), True),
        ({"rule": "pain_over_limit", "status": "paused"}, _answered("pain_rising"), True),  # another need
        ({"rule": "pain_over_limit", "status": "paused"}, _answered("stopped_by_pain", "not_reached"), True),
        ({"rule": "pain_over_limit"}, _answered("stopped_by_pain", "ask_again", until=_ago(-1)), False),
        ({"rule": "pain_over_limit"}, _answered("stopped_by_pain", "ask_again", until=TODAY), True),
        ({"rule": "pain_over_limit"}, _answered("stopped_by_pain", exercise="row"), True),  # of another exercise
        # Who cannot go on is not forgotten: an answer without a day does not count.
        ({"status": "review", "rule": "position_ready"}, _answered("review"), True),
        ({"status": "review", "rule": "position_ready"}, _answered("review", until=_ago(-1)), False),
        # What days alone bring about counts again after as many days, not after a session.
        ({"first_session": _ago(200)}, _answered("twelve_weeks", known=False), False),
        ({"first_session": _ago(200)}, _answered("twelve_weeks", on=_ago(84)), False),
        ({"first_session": _ago(200)}, _answered("twelve_weeks", on=_ago(85)), True),
        ({"last_seen": _ago(11)}, _answered("not_seen", on=_ago(10)), False),
        ({"last_seen": _ago(21)}, _answered("not_seen", on=_ago(11)), True),
        ({"status": "complete"}, _answered("complete", on=_ago(400)), False),
    ],
)
def test_an_answered_need_is_asked_about_again_in_its_time(
    update: dict[str, object], answer: dict[str, object], still: bool
) -> None:
    client = _WELL.model_copy(update=update)
    assert _names(client)
    assert bool(_names(client.model_copy(update=answer))) == still


def test_the_newest_answer_counts_and_attempts_are_counted_since() -> None:
    tried = AnsweredNeed(need="not_seen", how="not_reached", on=_ago(2))
    answers = (AnsweredNeed(need="not_seen", how="ask_again", on=_ago(5), until=_ago(3)), tried, tried)
    client = _WELL.model_copy(update={"last_seen": _ago(20), "answered": answers})
    (need,) = (one for one in _NEEDS if one.name == "not_seen")
    assert _names(client) == ["not_seen"]
    assert not_reached(client, need) == (_ago(2), _ago(2))
    done = AnsweredNeed(need="not_seen", how="answered", on=_ago(1))
    assert not_reached(client.model_copy(update={"answered": (*answers, done)}), need) == ()


def test_a_need_that_holds_the_client_says_so_and_others_do_not() -> None:
    """Without a day they would be forgotten: nobody can do a session meanwhile."""
    assert {one.name for one in _NEEDS if one.holds_client} == {
        "warning_sign",
        "two_versions",
        "wrong_date",
        "review",
        "may_not_start",
    }

"""The client's own activities: named by the therapist, rated every second week, kept as a mean."""

from datetime import timedelta

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.prescription import Prescription
from coach.model.progress import Progress, Rating
from coach.progression.state_machine import advance
from coach.session.plan import Plan, open_record, plan_session, script_of
from coach.session.rehearsal import rehearse
from tests.mechanics.clients import prescription, profile
from tests.progression.records import START

NAMED = ("carry a crate", "reach a shelf", "row")


def plan(ratings: tuple[Rating, ...] = (), named: tuple[str, ...] = NAMED) -> Plan:
    """A client whose therapist named these activities."""
    set_by = Prescription.model_validate({**prescription().model_dump(), "activities": named})
    before = Progress(exercise="external_rotation", position="0", repetitions=10, ratings=ratings)
    return plan_session(profile(rest_m=0.75), set_by, load_content(content_folder(), "en"), before)


def test_the_mean_of_the_activities_is_kept() -> None:
    """Mean of 3-5 activities rated 0-10: Stratford P, Gill C, Westaway M, Binkley J, Physiother Can 1995;47:258
    (scoring from memory)."""
    given: dict[str, int | str] = {step_names.activity(1): 4, step_names.activity(2): 5, step_names.activity(3): 7}
    today = plan()
    record, _ = rehearse(today, Answers(answer=given), START)
    assert advance(today.before, record, today.book).after.ratings == (Rating(on=START.date(), mean=5.3),)


@pytest.mark.parametrize(("days", "asked"), [(13, 0), (14, 3)])
def test_they_are_asked_every_second_week(days: int, asked: int) -> None:
    today = plan((Rating(on=START.date() - timedelta(days=days), mean=4.0),))
    script = script_of(today, open_record(today, START))
    assert len([step for step in script.steps if step_names.ACTIVITY in step.name]) == asked


def test_a_session_in_which_one_was_left_out_keeps_no_mean() -> None:
    today = plan()
    record, _ = rehearse(today, Answers(), START)
    less = tuple(one for one in record.entry if getattr(one, "step", "") != step_names.activity(2))
    assert advance(today.before, record.model_copy(update={"entry": less}), today.book).after.ratings == ()


@pytest.mark.parametrize("number", [1, 2, 6])
def test_too_few_or_too_many_activities_are_refused(number: int) -> None:
    with pytest.raises(ValueError, match="activities"):
        plan(named=tuple(f"task {one}" for one in range(number)))


def test_activities_do_not_move_the_load() -> None:
    today = plan()
    best, worst = (
        rehearse(today, Answers(answer={step_names.activity(one): rating for one in (1, 2, 3)}), START)[1].decision
        for rating in (10, 0)
    )
    assert best == worst

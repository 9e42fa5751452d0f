"""The session as a row of stops: the very steps of the runner, with the times of the script."""

import pytest

from coach.model.answers_file import Answers
from coach.session.plan import open_record, script_of
from coach.session.rehearsal import rehearse
from coach.session.timeline import stops
from tests.clocks import START
from tests.plans import plan_of

CLEAN = Answers()


def test_a_clean_session_stops_at_every_step_of_the_script_at_its_time() -> None:
    plan = plan_of("tern")
    script = script_of(plan, open_record(plan, START))
    found = stops(plan, CLEAN, START)
    at = {stop.place: stop.at_s for stop in found}
    for start_s, step in script.timeline():
        place = {"closing": "end"}.get(step.name, step.name)
        assert at[place if place in at else f"{place}.count_in"] >= start_s - 1e-6, step.name
    assert [stop.at_s for stop in found] == sorted(stop.at_s for stop in found)
    assert len({stop.place for stop in found}) == len(found)


def test_the_last_stop_is_the_end_that_the_rehearsal_comes_to() -> None:
    answers = Answers(answer={"set_1.pain": 7})
    plan = plan_of("tern")
    last = stops(plan, answers, START)[-1]
    assert last.place == "end"
    assert last.state.record.ended is not None
    assert last.state.record.ended.decision == rehearse(plan, answers, START)[1].decision


def test_a_set_that_ends_early_is_not_shown_to_its_last_repetition() -> None:
    places = [stop.place for stop in stops(plan_of("tern"), Answers(repetitions={"1": 3}), START)]
    assert "set_1.work.last" not in places
    assert "set_2.work.last" in places


def test_a_check_answered_no_is_shown_once_more_with_what_to_mend() -> None:
    found = stops(plan_of("tern"), Answers(answer={"check.taut_at_start": "no"}), START)
    assert found[-1].place == "check.taut_at_start.again"


def test_an_answer_that_no_question_takes_is_refused() -> None:
    with pytest.raises(ValueError, match="does not take"):
        stops(plan_of("tern"), Answers(answer={"pain_now": "yes"}), START)

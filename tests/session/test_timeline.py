"""The timeline of a session: the steps of the runner, with the times of the script."""

import pytest

from coach.model.answers_file import Answers
from coach.session.plan import open_record, script_of
from coach.session.rehearsal import rehearse
from coach.session.timeline import timeline_entries
from tests.clocks import START
from tests.plans import plan_of

CLEAN = Answers()


def test_a_clean_session_has_every_step_of_the_script_at_its_time() -> None:
    plan = plan_of("tern")
    script = script_of(plan, open_record(plan, START))
    found = timeline_entries((plan,), CLEAN, START)
    at = {entry.name: entry.at_s for entry in found}
    for start_s, step in script.scheduled_steps():
        place = {"closing": "end"}.get(step.name, step.name)
        assert at[place if place in at else f"{place}.count_in"] >= start_s - 1e-6, step.name
    assert [entry.at_s for entry in found] == sorted(entry.at_s for entry in found)
    assert len({entry.name for entry in found}) == len(found)


def test_the_last_stop_is_the_end_that_the_rehearsal_comes_to() -> None:
    answers = Answers(answer={"set_1.pain": 7})
    plan = plan_of("tern")
    last = timeline_entries((plan,), answers, START)[-1]
    assert last.name == "end"
    assert last.state.record.ended is not None
    assert last.state.record.ended.decision == rehearse(plan, answers, START)[1].decision


def test_a_set_that_ends_early_is_not_shown_to_its_last_repetition() -> None:
    names = [entry.name for entry in timeline_entries((plan_of("tern"),), Answers(repetitions={"1": 3}), START)]
    assert "set_1.work.last" not in names
    assert "set_2.work.last" in names


def test_a_check_answered_no_is_shown_once_more_with_what_to_mend() -> None:
    found = timeline_entries((plan_of("tern"),), Answers(answer={"check.taut_at_start": "no"}), START)
    assert found[-1].name == "check.taut_at_start.again"


def test_an_answer_that_no_question_takes_is_refused() -> None:
    with pytest.raises(ValueError, match="does not take"):
        timeline_entries((plan_of("tern"),), Answers(answer={"pain_now": "yes"}), START)

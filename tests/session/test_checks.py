"""The checks before the first repetition: a no is mended and asked again, and only one may be passed as it is."""

import pytest

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.progression.state_machine import advance
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.session.rehearsal import rehearse
from coach.session.runner import answer, back
from coach.session.state import Instant, State
from tests.clocks import START
from tests.plans import plan_of, shipped
from tests.session.test_other_band import state_at

NOW = Instant(0.0, START)


def said(name: str, *values: str) -> State:
    """A check answered so, one after the other."""
    state = state_at(plan_of("tern"), step_names.check(name))
    for value in values:
        state = answer(state, value, NOW)
    return state


@pytest.mark.parametrize("name", ["anchor_holds", "face_clear"])
def test_what_is_not_safe_is_asked_until_it_is(name: str) -> None:
    assert said(name, *["no"] * 9).step.name == step_names.check(name)
    assert said(name, "no", "yes").step.name != step_names.check(name)


def test_a_slack_band_is_measured_again_at_the_same_mark_and_then_recorded_as_it_is() -> None:
    state = said("taut_at_start", "no")
    assert state.step.name == "check.taut_at_start"
    page = page_at(state, setup_context(state.plan, state.record), 0.0)
    assert isinstance(page, TextPage)
    assert "mark 85 cm" in page.alert
    assert "105 cm above the floor" in page.alert
    state = answer(state, "no", NOW)
    assert state.step.name not in ("check.taut_at_start", "check.face_clear")  # that one came before the band
    assert state.record.answer("check.taut_at_start") == "no"
    assert said("taut_at_start", "no", "yes").record.answer("check.taut_at_start") == "yes"


def test_a_no_given_before_another_question_is_mended_first_again() -> None:
    """One back and a no: the two are not one after the other, so the way to mend it is shown."""
    state = answer(back(said("taut_at_start", "yes"), NOW), "no", NOW)
    assert state.step.name == "check.taut_at_start"


def test_slack_at_the_start_moves_nothing_up_and_the_therapist_is_told() -> None:
    plan = plan_of("tern")
    record, ended = rehearse(plan, Answers(answer={"check.taut_at_start": "no"}), START)
    assert len(record.sets_done) == 3
    assert (ended.decision.rule, ended.decision.move) == ("check_not_met", "hold")
    after = advance(plan.before, record, plan.book).after
    slack = shipped().messages.safety.check["taut_at_start"].fails
    assert slack in after.tell["measure_again"]
    assert (after.repetitions, after.ready_sessions) == (record.repetitions, 0)

"""The last page after a stop for the day: the same advice as on the handout, and when the next session may be."""

from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.model.messages.entries import StopWhy
from coach.model.prescription import BadDay
from coach.progression.decision_messages import next_time_told
from coach.progression.state_machine import advance
from coach.screens.client.end_page import end_page
from coach.screens.client.key_bindings import active_bindings, binding_for
from coach.screens.client.page_types import TextPage
from coach.session.admission.admit import admit
from coach.session.plan import Plan, plan_session
from coach.session.rehearsal import first_state, rehearsed_states
from tests.clocks import START
from tests.plans import plan_of

_PAIN: dict[str, int | str] = {"set_1.pain": 7}
_CHECK_IN: dict[str, int | str] = {"check_in.pain_now": 7}
_BY_KEY: dict[str, int | str] = {
    "set_1.trouble": "ache",
    "set_1.trouble_where": "side_of_shoulder",
    "set_1.trouble_pain": 7,
}
_DAMAGED: dict[str, int | str] = {"check.band_sound": "no"}


def _last_page(plan: Plan, given: dict[str, int | str]) -> TextPage:
    *_, last = rehearsed_states(first_state(plan, START), Answers(answer=given))
    assert last.record.ended is not None
    assert last.record.ended.decision.status == "paused"
    return end_page(last, last.record.ended)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("given", [_PAIN, _CHECK_IN, _BY_KEY])
def test_after_pain_over_the_limit_the_page_says_what_the_handout_says(
    language: str, given: dict[str, int | str]
) -> None:
    content = load_content(content_folder(), language)
    plan = replace(plan_of("tern"), content=content)
    assert _last_page(plan, given).alert == content.messages.client.handout.pain_what_to_do


def test_a_band_that_is_not_safe_has_its_own_advice() -> None:
    """It is mended or replaced; nothing hurt."""
    page = _last_page(plan_of("tern"), _DAMAGED)
    assert page.alert == ""
    assert "mended or replaced" in page.lead


@pytest.mark.parametrize("given", [_PAIN, _DAMAGED])
def test_the_day_of_the_next_session_is_said_after_a_stop_for_the_day(given: dict[str, int | str]) -> None:
    """A session opens on the next day of the plan as usual."""
    page = _last_page(plan_of("tern"), given)
    assert [line for line in page.lines if line.startswith("Next session:")] != []


def test_where_the_therapist_says_when_to_begin_again_no_other_day_is_said() -> None:
    plan = plan_of("tern")
    own = BadDay(
        may_do="rest", soreness="some soreness for a day", again="after two days", ring="1", answered="daily"
    )
    page = _last_page(replace(plan, prescription=plan.prescription.model_copy(update={"bad_day": own})), _PAIN)
    assert [line for line in page.lines if line.startswith("Next session:")] == []
    assert any("after two days" in line for line in page.lines)


def test_in_review_no_day_is_said_and_the_reason_says_whom_to_call() -> None:
    plan = plan_of("tern")
    *_, last = rehearsed_states(first_state(plan, START), Answers(answer={"set_1.pain": 9}))
    assert last.record.ended is not None
    page = end_page(last, last.record.ended)
    assert last.record.ended.decision.status == "review"
    assert [line for line in page.lines if line.startswith("Next session:")] == []
    assert "Do not train until your therapist has looked" in page.lead


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("given", [{"set_1.pain": 9}, {"check_in.pain_now": 10}])
def test_after_severe_pain_whom_to_call_is_first_and_nothing_of_a_next_session_is_said(
    language: str, given: dict[str, int | str]
) -> None:
    """A mark was told that nobody may stand at, and the call stood at the end of the sentence with it."""
    content = load_content(content_folder(), language)
    tern = plan_of("tern")
    plan = plan_session(tern.profile, tern.prescription, content, tern.before)
    *_, last = rehearsed_states(first_state(plan, START), Answers(answer=given))
    ended = last.record.ended
    assert ended is not None
    page, said = end_page(last, ended), content.messages.rules
    assert page.alert == content.messages.client.end.call_now
    whole = " ".join((page.lead, *page.lines))
    assert page.alert not in whole
    assert next_time_told(ended.decision, content) not in whole
    assert f"{ended.decision.load.distance_cm} cm" not in whole
    assert said.stop_why["pain_severe"] in page.lead
    assert said.stop_why["pain_again"] not in page.lead
    assert "plan" not in [binding.word for binding in active_bindings(last)]
    assert binding_for("w", last) is None


@pytest.mark.parametrize(("pain", "why"), [(7, "pain_again"), (9, "pain_severe_again")])
def test_a_further_stop_for_pain_says_which_of_the_two_it_was(pain: int, why: StopWhy) -> None:
    plan = plan_of("tern")
    before = plan.before.model_copy(update={"pain_stops": (START.date(),)})
    *_, last = rehearsed_states(
        first_state(replace(plan, before=before), START), Answers(answer={"set_1.pain": pain})
    )
    assert last.record.ended is not None
    page = end_page(last, last.record.ended)
    assert page.alert == plan.content.messages.client.end.call_now
    assert page.lead.endswith(f"because {plan.content.messages.rules.stop_why[why]}.")


def test_pain_over_the_limit_while_the_therapist_is_to_look_anyway_is_no_call() -> None:
    """The twelve weeks are over on the same day: that is told, and nobody has to call now."""
    plan = plan_of("tern")
    before = plan.before.model_copy(update={"first_session": START - timedelta(weeks=13)})
    *_, last = rehearsed_states(first_state(replace(plan, before=before), START), Answers(answer=_PAIN))
    assert last.record.ended is not None
    assert last.record.ended.decision.status == "review"
    page = end_page(last, last.record.ended)
    assert page.alert == plan.content.messages.client.handout.pain_what_to_do
    assert next_time_told(last.record.ended.decision, plan.content) not in (page.lead, *page.lines)


def test_the_next_start_says_first_whom_to_call() -> None:
    plan = plan_of("tern")
    *_, last = rehearsed_states(first_state(plan, START), Answers(answer={"set_1.pain": 9}))
    after = advance(plan.before, last.record, plan.book).after
    reason = admit(plan.profile, plan.prescription, plan.content, after, START + timedelta(days=2)).reason
    assert reason.startswith(f"{plan.content.messages.client.end.call_now} There is no session now.")
    assert reason.count(plan.content.messages.client.end.call_now) == 1

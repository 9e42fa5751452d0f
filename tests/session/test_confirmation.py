"""What would end a session is confirmed first: until then it counts as never said, and it can be taken back."""

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model import step_names
from coach.model.content import Content
from coach.model.record import Answered, Chosen, TakenBack
from coach.progression.facts import extract_facts
from coach.progression.state_machine import advance
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.screens.plain.page_lines import page_lines
from coach.session.admission.carried_over import carried_over
from coach.session.interruptions import report_trouble
from coach.session.plan import open_record, plan_session, script_of
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, back, choose, confirm, go_on, leave, may_go_back, stop_set, take_back
from coach.session.script import Rest, SetupAgain, Work
from coach.session.state import Instant, State
from coach.session.transitions import begin
from tests.clocks import START
from tests.plans import begun, plan_of, shipped
from tests.session.test_runner import at_the_set, present


def at(name: str) -> State:
    """A session at its first question or page of this name, with clean answers before it."""
    state = begun()
    for _ in range(60):
        if state.step.name == name:
            return state
        question = state.question
        now = present(1.0)
        state = go_on(state, now) if question is None else answer(state, clean_answer(question), now)
    raise AssertionError(name)


def page(state: State) -> TextPage:
    """The page of a state that is read or answered."""
    shown = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert isinstance(shown, TextPage)
    return shown


def test_a_sign_shows_what_to_do_and_asks_before_it_counts() -> None:
    state = choose(at("check_in.sign"), "chest_pain", present(2.0))
    assert not state.over
    assert state.record.answer(step_names.SIGN) is None
    assert extract_facts(state.plan.before, state.record, state.plan.book, "check_in").sign is None
    shown = page(state)
    assert "local emergency number now" in shown.alert
    assert shown.lead.startswith("You chose: Chest pain or pressure")
    assert confirm(state, present(3.0)).record.ended is not None


def test_a_slip_is_taken_back_and_leaves_its_trace() -> None:
    state = take_back(choose(at("check_in.sign"), "chest_pain", present(2.0)), present(3.0))
    assert (state.step.name, state.chosen, state.over) == ("check_in.sign", None, False)
    assert [type(one) for one in state.record.entry[-2:]] == [Chosen, TakenBack]
    assert answer(state, "none", present(4.0)).record.answer(step_names.SIGN) == "none"


def test_not_sure_about_the_signs_has_its_own_words() -> None:
    """It once said "You noticed a warning sign (not sure about the warning signs)"."""
    state = choose(at("check_in.sign"), "not_sure", present(2.0))
    assert "not sure about the warning signs" in page(state).lead
    ended = confirm(state, present(3.0)).record.ended
    assert ended is not None
    assert ended.decision.reason.startswith("You were not sure about the warning signs, so we stop here")
    assert "You noticed" not in ended.decision.reason


def test_what_goes_on_is_not_confirmed() -> None:
    assert choose(at("check_in.sign"), "none", present(2.0)).chosen is None
    assert choose(at("check_in.pain_now"), 5, present(2.0)).chosen is None
    assert choose(at("check.anchor_holds"), "no", present(2.0)).chosen is None


def test_pain_over_the_limit_and_a_torn_band_are_confirmed() -> None:
    for name, value in (("check_in.pain_now", 6), ("check.band_sound", "no")):
        state = choose(at(name), value, present(2.0))
        assert state.chosen is not None
        assert confirm(state, present(3.0)).over


def test_an_answer_said_earlier_stands_where_a_later_choice_is_taken_back() -> None:
    state = answer(at("check_in.pain_now"), 3, present(2.0))
    state = back(state, present(3.0))
    assert state.record.answer(step_names.PAIN_NOW) is None
    state = take_back(choose(answer(state, 4, present(4.0)), "lump", present(5.0)), present(6.0))
    assert state.record.answer(step_names.PAIN_NOW) == 4


def test_unanswered_it_is_asked_again_by_the_next_start() -> None:
    """In the same session on going on, and at the start of a new one."""
    state = choose(at("check_in.sign"), "chest_pain", present(2.0))
    again = begin(state.plan, state.script, state.record, present(9.0))
    assert again.chosen == state.chosen
    assert go_on(again, present(10.0)) == again
    assert confirm(again, present(11.0)).record.ended is not None
    carried = carried_over(state.record, shipped(), START)
    assert carried is not None
    assert (carried.step, carried.value) == (step_names.SIGN, "chest_pain")
    assert carried_over(take_back(state, present(3.0)).record, shipped(), START) is None


def test_whoever_leaves_at_the_confirmation_has_confirmed() -> None:
    """Leaving once dropped the choice: no advice, and no sign of it for the therapist."""
    for name, value in (("check_in.sign", "chest_pain"), ("check_in.pain_now", 8), ("check.band_sound", "no")):
        chosen = choose(at(name), value, present(2.0))
        ended = leave(chosen, present(3.0)).record.ended
        assert ended == confirm(chosen, present(3.0)).record.ended
        assert ended is not None
        assert ended.how == "stopped"
    slip = leave(take_back(choose(at("check_in.sign"), "chest_pain", present(2.0)), present(3.0)), present(4.0))
    assert slip.record.ended is not None
    assert slip.record.ended.how == "left"


def test_an_open_record_is_judged_with_what_was_chosen_last() -> None:
    """Where nobody comes back to confirm it, the therapist sees it."""
    state = choose(at("check_in.sign"), "chest_pain", present(2.0))
    assert advance(state.plan.before, state.record, state.plan.book).after.status == "review"
    slip = take_back(state, present(3.0))
    assert advance(slip.plan.before, slip.record, slip.plan.book).after.status == "active"


def test_pain_in_the_chest_is_carried_over_as_the_sign() -> None:
    record = begun().record
    chosen = Chosen(at=START, step="set_1.trouble_where", value="chest")
    found = carried_over(record.with_entry(chosen), shipped(), START)
    assert found is not None
    assert found.value == "chest_pain"
    other = Chosen(at=START, step="set_1.trouble_pain", value=8)
    assert carried_over(record.with_entry(other), shipped(), START) is None


def test_back_reaches_the_last_answer_of_a_block() -> None:
    """From the setup to the signs, from the page before the set to the last check, from the rest to the form."""
    for name, before in (
        ("setup.place", "check_in.sign"),
        ("reach", "check.taut_at_start"),
        ("setup.arm", "check.face_clear"),
    ):
        state = at(name)
        assert may_go_back(state)
        assert back(state, present(2.0)).step.name == before
        assert back(state, present(2.0)).record.answer(before) is None
    rest = at_the_set(begun(), 2, 0.0)
    rest = rest._replace(at_step=rest.at_step - 1)
    assert isinstance(rest.step, Rest)
    reopened = back(rest, present(3.0))
    assert reopened.step.name == "set_1.range"
    assert isinstance(answer(reopened, "never", present(4.0)).step, Rest)


def test_back_ends_where_the_consequence_was_shown() -> None:
    state = stop_set(at_the_set(begun(), 1, 0.0)._replace(whole=1), present(1.0))
    while state.question is not None:
        given = {"range": "more_than_once"}.get(state.question.question, clean_answer(state.question))
        state = answer(state, given, present(2.0))
    assert isinstance(state.step, SetupAgain)
    assert not may_go_back(state)
    assert back(state, present(3.0)) == state


def test_a_set_ended_before_one_repetition_is_only_asked_about_pain() -> None:
    state = stop_set(at_the_set(begun(), 1, 0.0), present(1.0))
    assert state.question is not None
    assert state.question.name == "set_1.pain"
    state = answer(state, 0, present(2.0))
    assert isinstance(state.step, Rest)
    assert state.verdict is None


def test_pain_within_the_limit_is_answered_with_a_sentence() -> None:
    after = answer(at("check_in.pain_now"), 3, present(2.0))
    assert page(after).remark.startswith("Pain 3 of 10 is within your limit of 5, so you may go on.")
    assert page(answer(at("check_in.pain_now"), 0, present(2.0))).remark == ""


def test_the_end_of_a_set_is_large_on_the_page_after_it() -> None:
    state = stop_set(at_the_set(begun(), 1, 0.0)._replace(whole=1), present(1.0))
    assert page(state).banner == shipped().messages.client.set.over
    assert page(answer(state, 0, present(2.0))).banner == ""


def test_all_form_questions_run_the_same_way_and_never_comes_first() -> None:
    """Yes was once the good answer to one form question and the bad one to the others, with a question after it."""
    state = answer(stop_set(at_the_set(begun(), 1, 0.0)._replace(whole=1), present(1.0)), 0, present(2.0))
    seen: dict[str, list[tuple[str, str]]] = {}
    while state.question is not None:
        seen[state.question.question] = [(one.key, one.text) for one in page(state).choices]
        state = answer(state, clean_answer(state.question), present(3.0))
    often = [("0", "never"), ("1", "once"), ("2", "more than once"), ("u", "not sure")]
    assert seen == {"blade": often, "elbow": often, "range": often}


def test_what_was_taken_back_is_no_answer_of_the_record() -> None:
    """The last one counts, one before it is uncovered only where it was said of another time."""
    state = at("check_in.sign")
    state = back(back(state, present(2.0)), present(3.0))
    said = [one for one in state.record.entry if isinstance(one, Answered)]
    assert [one.step for one in said] == [step_names.PAIN_NOW, step_names.RELIEF]
    assert state.record.answers == {}
    assert state.record.last_said(step_names.PAIN_NOW) == 0


def in_set_of(content: Content, name: str) -> State:
    """A session in the language of the content, at its first question or page of this name."""
    tern = plan_of("tern")
    plan = plan_session(tern.profile, tern.prescription, content, tern.before)
    record = open_record(plan, START)
    state = begin(plan, script_of(plan, record), record, Instant(0.0, START))
    for _ in range(60):
        if state.step.name == name:
            return state
        question, now = state.question, present(1.0)
        if isinstance(state.step, Work):
            state = stop_set(state, now)
        else:
            state = go_on(state, now) if question is None else answer(state, clean_answer(question), now)
    raise AssertionError(name)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(
    ("name", "value", "first"),
    [
        ("check_in.pain_now", 6, "take_up_none"),
        ("check_in.pain_now", 10, "take_up_none"),
        ("set_1.pain", 6, "put_down"),
        ("set_1.pain", 9, "put_down"),
        ("check.band_sound", "no", "unsafe"),
    ],
)
def test_what_to_do_at_once_is_first_before_anything_is_confirmed(
    language: str, name: str, value: int | str, first: str
) -> None:
    """A page on severe pain once asked only whether it was so."""
    content = load_content(content_folder(), language)
    shown = page(choose(in_set_of(content, name), value, present(2.0)))
    messages = content.messages.client
    assert shown.alert == getattr(messages.confirm, first)
    assert next(iter(page_lines(shown, messages.plain))) == shown.title
    assert list(page_lines(shown, messages.plain))[1] == shown.alert


def test_sharp_pain_by_the_key_says_what_to_do_as_well() -> None:
    state = report_trouble(at_the_set(begun(), 1, 0.0), present(2.0))
    for value in ("sharp", "side_of_shoulder", 7):
        state = choose(state, value, present(3.0))
    assert state.chosen is not None
    assert page(state).alert == shipped().messages.client.confirm.put_down


def test_in_a_session_it_is_this_session_that_ends() -> None:
    """It said that there is no session, in the middle of one."""
    shown = page(choose(in_set_of(shipped(), "set_1.pain"), 9, present(2.0)))
    assert "If so, this session ends, and there is no other until your therapist has looked at it." in shown.lines

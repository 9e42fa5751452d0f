"""The pain key: it stops at once, then asks what it is, where and how much, and leads to the right rule."""

import pytest

from coach.model.answers_file import Answers
from coach.model.record import Answered, SetDone
from coach.session.answer_keys import choices
from coach.session.interruptions import report_trouble
from coach.session.phrases import urgency_text
from coach.session.rehearsal import rehearse
from coach.session.runner import answer, back, go_on
from coach.session.script import Work
from coach.session.state import State
from tests.clocks import START
from tests.plans import begun, plan_of, shipped
from tests.session.test_runner import at_the_set, present


def stopped() -> State:
    """The pain key in the second repetition of the first set."""
    return report_trouble(at_the_set(begun(), 1, 0.0), present(35.0))


def told(*values: str | int) -> State:
    """What was answered to it."""
    state = stopped()
    for number, value in enumerate(values):
        state = answer(state, value, present(36.0 + number))
    return state


def test_the_set_stands_still_before_anything_is_asked() -> None:
    state = stopped()
    assert state.paused
    assert state.watch.since_s is None
    assert state.whole == 1


@pytest.mark.parametrize("kind", ["ache", "sharp"])
def test_a_pain_is_asked_about_and_within_the_limit_the_set_goes_on(kind: str) -> None:
    state = told(kind, "top_of_shoulder", 3)
    said = [(one.step, one.value) for one in state.record.entry if isinstance(one, Answered)][-3:]
    assert said == [("set_1.trouble", kind), ("set_1.trouble_where", "top_of_shoulder"), ("set_1.trouble_pain", 3)]
    assert state.question is None
    assert isinstance(go_on(state, present(50.0)).step, Work)


@pytest.mark.parametrize("values", [("chest_pain",), ("ache", "chest"), ("sharp", "chest")])
def test_pain_in_the_chest_is_the_warning_sign_whichever_way_it_is_told(values: tuple[str, ...]) -> None:
    """Chest pain spreading to arm or shoulder: Swap CJ, Nagurney JT, JAMA 2005;294:2623 (second hand)."""
    ended = told(*values).record.ended
    assert ended is not None
    assert (ended.decision.rule, ended.decision.status) == ("warning_sign", "review")
    assert urgency_text(ended.decision, shipped()) == shipped().messages.safety.urgency["emergency"]


@pytest.mark.parametrize("sign", ["injury", "numb_or_weak", "gave_way", "tingling"])
def test_a_sign_stops_without_another_question(sign: str) -> None:
    ended = told(sign).record.ended
    assert ended is not None
    assert ended.decision.numbers["sign"] == sign


def test_every_answer_is_one_key_of_its_own() -> None:
    for state in (told(), told("ache"), told("ache", "neck")):
        assert state.asking is not None
        keys = [one.key for one in choices(state.asking, shipped().signs)]
        assert all(len(key) == 1 for key in keys)
        assert len(set(keys)) == len(keys) > 7


def test_one_back_goes_one_question_back_and_then_out() -> None:
    state = told("ache", "neck")
    steps = []
    while state.asking is not None:
        steps.append(state.asking.question)
        state = back(state, present(50.0))
    assert steps == ["trouble_pain", "trouble_where", "trouble"]
    assert state.paused


def test_answers_of_a_rehearsal_press_it_and_go_on() -> None:
    """After the repetitions named, else after the first; then the rest of the set is done."""
    given: dict[str, int | str] = {"set_1.trouble": "ache", "set_1.trouble_where": "neck", "set_1.trouble_pain": 2}
    record, ended = rehearse(plan_of("tern"), Answers(answer=given), START)
    assert record.sets_done[0].repetitions == record.repetitions
    assert record.answer("set_1.trouble_where") == "neck"
    assert ended.how == "finished"
    over = Answers(answer={**given, "set_1.trouble_pain": 7}, repetitions={"1": 4})
    record, ended = rehearse(plan_of("tern"), over, START)
    assert [(one.repetitions, one.end) for one in record.entry if isinstance(one, SetDone)] == [(4, "halted")]
    assert ended.decision.rule == "pain_over_limit"


def test_answers_that_do_not_say_where_are_told_so() -> None:
    with pytest.raises(ValueError, match=r"set_1\.trouble_where is asked"):
        rehearse(plan_of("tern"), Answers(answer={"set_1.trouble": "ache"}), START)

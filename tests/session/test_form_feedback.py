"""Feedback thins out as the form stays clean, comes back with a fault, and is always there to be asked for.

That less feedback over time keeps what was learned: Aoyagi 2019, J Phys Ther Sci 31:687 (abstract). The numbers,
3 and 9 clean sets in a row, are this project's own.
"""

from collections.abc import Iterator, Mapping
from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.model.answers_file import Answers
from coach.model.progress import Progress
from coach.progression.state_machine import advance
from coach.reports.text.preview import preview_text
from coach.screens.client.key_bindings import CUE, MAX_BINDINGS_SHOWN, active_bindings, binding_for
from coach.screens.client.page_types import RestPage, ScreenPage, SetPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.session.form_feedback import feedback
from coach.session.plan import Plan, open_record
from coach.session.rehearsal import first_state, rehearse, rehearsed_states
from coach.session.runner import go_on
from coach.session.script import Work
from coach.session.state import Instant, State
from tests.clocks import START
from tests.plans import plan_of

Given = Mapping[str, int | str]
FIRST, ELBOW = "Move your hand out to the line.", "Keep the small gap at your elbow."


def after_clean(sets: int, name: str = "tern") -> Plan:
    """A client after so many clean sets in a row."""
    plan = plan_of(name)
    return replace(plan, before=plan.before.model_copy(update={"clean_sets": sets}))


def steps(plan: Plan, given: Given) -> Iterator[State]:
    """A session with these answers, each time something was said or time led on."""
    first = first_state(plan, START)
    yield first
    yield from rehearsed_states(first, Answers(answer=dict(given)))


def at(plan: Plan, step: str, **given: int | str) -> State:
    """The session when it comes to a step; a double underscore in a name stands for its dot."""
    said = {name.replace("__", "."): value for name, value in given.items()}
    return next(state for state in steps(plan, said) if state.step.name == step)


def page(state: State) -> ScreenPage:
    return page_at(state, setup_context(state.plan, state.record), state.seen_s)


def cue_of(state: State) -> str:
    """What stands on the set screen."""
    seen = page(state)
    assert isinstance(seen, SetPage)
    return seen.cue


@pytest.mark.parametrize(
    ("clean_sets", "cued"),
    [(0, (1, 2, 3)), (1, (1, 2)), (2, (1,)), (3, (1,)), (8, (1,)), (9, ()), (40, ())],
)
def test_fewer_cues_the_longer_the_form_stays_clean(clean_sets: int, cued: tuple[int, ...]) -> None:
    shown_cues = [cue_of(state) for state in steps(after_clean(clean_sets), {}) if isinstance(state.step, Work)]
    assert shown_cues == [FIRST if number in cued else "" for number in (1, 2, 3)]


def test_a_fault_brings_its_cue_back_for_the_very_next_set_and_the_one_after() -> None:
    faulty = {"set_1__elbow": "once"}
    assert cue_of(at(after_clean(40), "set_2.work", **faulty)) == ELBOW
    assert cue_of(at(after_clean(40), "set_3.work", **faulty)) == ELBOW


@pytest.mark.parametrize("answer", ["not_sure", "once"])
def test_only_a_set_without_fault_or_doubt_is_praised(answer: str) -> None:
    assert feedback_in_rest(blade="never")[0] == "That set was clean."
    assert feedback_in_rest(blade=answer)[0].startswith("Next set, think of:")


def feedback_in_rest(blade: str) -> tuple[str, ...]:
    seen = page(at(after_clean(0), "set_2.rest", set_1__blade=blade))
    assert isinstance(seen, RestPage)
    return seen.lines


def test_the_number_of_clean_sets_is_said() -> None:
    seen = page(at(after_clean(1), "set_2.rest"))
    assert isinstance(seen, RestPage)
    assert seen.lines[:2] == ("2 clean sets in a row.", f"Next set, think of: {FIRST}")


@pytest.mark.parametrize("step", ["reach", "set_2.rest", "set_2.work"])
def test_the_cue_can_always_be_asked_for_and_only_for_its_set(step: str) -> None:
    state = at(after_clean(40), step)
    assert FIRST not in str(page(state))
    assert binding_for("c", state) is CUE
    state = CUE.run(state, Instant(state.seen_s, START))
    assert FIRST in str(page(state))
    assert binding_for("c", state) is None
    again = at(after_clean(40), "set_3.work")
    assert FIRST not in str(page(again._replace(cue_asked_for=2)))


def test_asked_for_before_the_first_set_it_stays_for_it() -> None:
    state = at(after_clean(40), "reach")
    state = go_on(CUE.run(state, Instant(state.seen_s, START)), Instant(state.seen_s, START))
    assert cue_of(state) == FIRST


def test_the_key_is_said_wherever_it_works_and_no_more_keys_than_fit() -> None:
    for state in steps(after_clean(40), {}):
        keys = active_bindings(state)
        assert len(keys) <= MAX_BINDINGS_SHOWN
        if binding_for("c", state) is CUE:
            assert CUE in keys or "c shows it" in str(page(state)), state.step.name


def test_where_a_cue_is_given_there_is_nothing_to_ask_for() -> None:
    assert all(binding_for("c", state) is None for state in steps(after_clean(0), {"blade": "not_sure"}))


def folded(*sessions: Given, before: Progress | None = None) -> Progress:
    progress = before or plan_of("tern").before
    for number, given in enumerate(sessions):
        plan = replace(plan_of("tern"), before=progress)
        record, _ = rehearse(plan, Answers(answer=dict(given)), START + timedelta(days=2 * number))
        progress = advance(progress, record, plan.book).after
    return progress


def test_clean_sets_are_counted_over_sessions() -> None:
    assert folded({}, {}).clean_sets == 6
    assert folded({}, {"set_2.blade": "yes"}, {}).clean_sets == 1 + 3
    assert folded({}, {"set_3.blade": "not_sure"}).clean_sets == 0
    assert folded({}, {"set_3.skip": "no_time"}).clean_sets == 5


@pytest.mark.parametrize("stopped", [{"set_2.pain": 6}, {"check_in.pain_now": 3}, {"check_in.sign": "tingling"}])
def test_a_stop_or_a_step_down_begins_with_every_cue_again(stopped: Given) -> None:
    assert folded({}, stopped).clean_sets == 0


def test_the_cue_of_the_next_session_is_for_the_fault_named_last() -> None:
    after = folded({"set_1.blade": "yes", "set_3.elbow": "yes"})
    assert after.newest_fault == "elbow_drifted"
    plan = replace(plan_of("tern"), before=after)
    assert feedback(plan, open_record(plan, START)).cue == ELBOW
    learned = replace(plan, before=after.model_copy(update={"clean_sets": 9}))
    assert feedback(learned, open_record(learned, START)).cue == FIRST


def test_the_therapist_moves_the_numbers() -> None:
    plan = after_clean(40)
    assert not feedback(plan, open_record(plan, START)).shown
    always = replace(plan, limits={**plan.limits, "cue_each_set_until": 90})
    assert feedback(always, open_record(always, START)).shown


def test_the_preview_says_which_sets_have_a_cue() -> None:
    text = preview_text(after_clean(2), START)
    assert text.count(f"Think of this: {FIRST}") == 1
    assert [text.count(f"{sets} clean sets in a row by then") for sets in (2, 3, 4)] == [0, 1, 1]


def with_variants(plan: Plan, *variants: str) -> Plan:
    """The client's next session, with other words for the cue on the elbow."""
    messages = plan.content.messages
    exercise = messages.exercises[plan.before.exercise]
    here = exercise.position[plan.position.name]
    cues = tuple(cue.model_copy(update={"variants": variants if cue.text == ELBOW else ()}) for cue in here.cues)
    position = {**exercise.position, plan.position.name: here.model_copy(update={"cues": cues})}
    own = {**messages.exercises, plan.before.exercise: exercise.model_copy(update={"position": position})}
    return replace(plan, content=replace(plan.content, messages=replace(messages, exercises=own)))


def test_the_variants_of_a_cue_take_turns_from_set_to_set_and_from_session_to_session() -> None:
    said: list[list[str]] = []
    for sessions in range(3):
        plan = with_variants(after_clean(0), "Leave the gap alone.", "Let the gap stay.")
        plan = replace(plan, before=plan.before.model_copy(update={"sessions": sessions}))
        faults = {f"set_{number}__elbow": "once" for number in (1, 2)}
        said.append([cue_of(at(plan, f"set_{number}.work", **faults)) for number in (2, 3)])
    texts = [ELBOW, "Leave the gap alone.", "Let the gap stay."]
    assert said == [[texts[1], texts[2]], [texts[2], texts[0]], [texts[0], texts[1]]]


def test_a_rest_draws_large_what_changes_in_the_setup_and_says_the_cue() -> None:
    """After too heavy a set the new band is read from the mark; the cue is drawn before the set."""
    resting = page(at(after_clean(0), "set_2.rest", set_1__blade="more_than_once"))
    assert isinstance(resting, RestPage)
    assert resting.change.startswith(f"Change only the band: knotted to {resting.large}")
    cue = cue_of(at(after_clean(0), "set_2.work", set_1__blade="more_than_once"))
    assert any(cue in line for line in resting.lines if line != resting.instead_of)


def test_the_rest_says_the_variant_that_the_set_then_shows() -> None:
    plan = with_variants(after_clean(0), "Leave the gap alone.")
    state = next(one for one in steps(plan, {"set_1.elbow": "once"}) if isinstance(page(one), RestPage))
    resting = page(state)
    assert isinstance(resting, RestPage)
    assert resting.large == cue_of(at(plan, "set_2.work", set_1__elbow="once")) == "Leave the gap alone."

"""What a cue can say beside its text: the phase it is about, what went right, and what comes before the setup."""

from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.model import step_names
from coach.model.content_entries import FormQuestion
from coach.model.messages.entries import PositionMessages
from coach.model.record import SetDone
from coach.screens.client.page_types import RestPage, SetPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.screens.sound.spoken_lines import cue_of_phase
from coach.session.form_feedback import feedback
from coach.session.plan import Plan
from coach.session.rehearsal import first_state
from coach.session.script import remaining_script
from coach.session.signals import set_signals
from coach.session.state import State
from tests.clocks import START
from tests.plans import plan_of
from tests.session.test_form_feedback import after_clean, at

SLOWLY, ELBOW_STAYED = "Slowly back: as long as the way out.", "The elbow stayed where it began."


def plan_in(position: dict[str, object]) -> Plan:
    """A client whose position says something else."""
    plan = after_clean(0)
    messages = plan.content.messages
    exercise = messages.exercises[plan.before.exercise]
    own: PositionMessages = exercise.at("0").model_copy(update=position)
    exercises = {**messages.exercises, plan.before.exercise: exercise.model_copy(update={"position": {"0": own}})}
    return replace(plan, content=replace(plan.content, messages=replace(messages, exercises=exercises)))


def set_pages(state: State) -> dict[str, SetPage]:
    """The page of each phase of the first repetition."""
    time = state.remaining_set
    assert time is not None
    pages = {}
    for phase, into_s in (("count_in", 0.0), *time.shown_moments()):
        page = page_at(state, setup_context(state.plan, state.record), state.seen_s + into_s)
        assert isinstance(page, SetPage)
        pages[phase] = page
    return pages


def rushed() -> State:
    return at(after_fault("tempo_rushed"), "set_1.work")


def after_fault(fault: str) -> Plan:
    """A client who named this fault last, in the session before."""
    plan = after_clean(0)
    return replace(plan, before=plan.before.model_copy(update={"newest_fault": fault}))


def test_a_cue_is_shown_in_its_phase_and_before_it_all_moves() -> None:
    pages = set_pages(rushed())
    assert {page.cue for page in pages.values()} == {SLOWLY}
    assert [phase for phase, page in pages.items() if page.cue_due] == ["count_in", "back"]


def test_a_cue_about_no_phase_is_shown_all_through_the_set() -> None:
    assert all(page.cue_due for page in set_pages(at(after_clean(0), "set_2.work", set_1__elbow="once")).values())


def test_it_is_said_as_its_phase_begins_in_the_first_repetition() -> None:
    state = rushed()
    time = state.remaining_set
    assert time is not None
    said = [(one.name, cue_of_phase(one, state)) for one in set_signals(time)]
    assert [word for word in said if word[1]] == [("back", SLOWLY)]
    other = at(after_clean(0), "set_2.work", set_1__elbow="once")
    assert not any(cue_of_phase(one, other) for one in set_signals(time))


def rest_before_third(**given: int | str) -> State:
    return at(after_clean(0), "set_3.rest", **given)


def test_what_went_right_is_said_after_the_first_set_that_was_asked_about_it_again() -> None:
    state = rest_before_third(set_1__elbow="once")
    page = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert isinstance(page, RestPage)
    assert page.lines[0] == ELBOW_STAYED


@pytest.mark.parametrize(
    "given",
    [
        {"set_1__elbow": "once", "set_2__elbow": "once"},
        {"set_1__elbow": "once", "set_2__blade": "once"},
        {"set_1__elbow": "once", "set_2__elbow": "not_sure"},
        {"set_1__blade": "once"},
        {},
    ],
)
def test_nothing_is_praised_that_went_wrong_or_was_not_asked_about(given: dict[str, str]) -> None:
    """The last but one has a cue without praise, and the last no fault before it."""
    state = rest_before_third(**given)
    assert feedback(state.plan, state.record).praise == ""


def test_it_is_praised_once() -> None:
    plan = replace(after_clean(0), before=after_clean(0).before.model_copy(update={"newest_fault": "elbow_drifted"}))
    assert feedback(plan, at(plan, "set_2.rest").record).praise == ELBOW_STAYED
    assert feedback(plan, at(plan, "set_3.rest").record).praise == ""


def test_the_warm_up_comes_before_the_setup_and_only_where_there_is_one() -> None:
    plan = plan_in({"warm_up": ("Swing your arm.", "Then circle it.")})
    names = [step.name for step in first_state(plan, START).script.steps]
    assert names[names.index(step_names.PLACE) - 1] == step_names.WARM_UP
    assert step_names.WARM_UP not in [step.name for step in first_state(plan_of("tern"), START).script.steps]
    state = at(plan, step_names.WARM_UP)
    page = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert isinstance(page, TextPage)
    assert (page.title, page.lead, page.lines) == (
        "Warm up first, without the band",
        "Swing your arm.",
        ("Then circle it.",),
    )


def test_after_an_interruption_it_comes_again_until_a_set_is_done() -> None:
    first = first_state(plan_in({"warm_up": ("Swing your arm.",)}), START)
    done = SetDone(at=START + timedelta(minutes=9), number=1, repetitions=8, under_load_s=80.0, end="done")
    records = (first.record, first.record.with_entry(done))
    left = [[step.name for step in remaining_script(first.script, one).steps] for one in records]
    assert [step_names.WARM_UP in names for names in left] == [True, False]


def test_a_shipped_exercise_has_a_warm_up_and_a_shipped_question_a_phase() -> None:
    content = plan_of("tern").content
    assert len(content.messages.exercises["raise"].at("0").warm_up) == 2
    tempo: FormQuestion = content.questions["tempo"]
    assert tempo.cue_phase == "back"

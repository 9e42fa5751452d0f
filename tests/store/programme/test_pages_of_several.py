"""The pages of a session of four exercises: common cautions once, and between two exercises what changes."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from coach.drawing.cells.setup_on_screen import place_on_screen
from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.message_format import fill
from coach.model.record import Chosen
from coach.screens.client.page_types import RestPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.question_pages import confirm_page
from coach.screens.client.resume_prompts import leave_page
from coach.screens.client.setup_context import SetupCache
from coach.session.lessons.cautions import cautions_before
from coach.session.phrases import setup_of
from coach.session.rehearsal import first_state, programme_states
from coach.session.runner import leave
from coach.session.script import Rest, SetupAgain
from coach.session.state import Instant, State
from coach.store.client_store import ClientStore
from coach.store.programme.opening import todays_exercises
from tests.store.programme.by_hand import MONDAY, content

NAMES = ("outward_right", "outward_left", "inward_right", "row_right")


def states_of(client: Path, **given: int | str) -> list[State]:
    """Every state of a session of the demo client; a double underscore in a name stands for its dot."""
    plans = todays_exercises(ClientStore.read(client, content()), MONDAY).plans
    answers = {name.replace("__", "."): value for name, value in given.items()}
    return list(programme_states(plans, Answers(answer=answers), MONDAY))


@pytest.fixture
def clean(demo_profiles: Path) -> list[State]:
    """A session without faults or pain."""
    return states_of(demo_profiles / "curlew")


def pages(states: list[State]) -> Iterator[tuple[State, TextPage | RestPage]]:
    """Each state that shows a page to read, to answer or to rest on, with that page."""
    setups = SetupCache()
    for state in states:
        page = page_at(state, setups.of(state), state.seen_s)
        if isinstance(page, TextPage | RestPage):
            yield state, page


def between(states: list[State]) -> list[tuple[State, TextPage]]:
    """The pages between two exercises."""
    found = [(state, page) for state, page in pages(states) if state.another_follows]
    return [(state, page) for state, page in found if isinstance(page, TextPage)]


def test_between_two_exercises_what_comes_next_stands_out(clean: list[State]) -> None:
    for _, page in between(clean):
        assert [line for line in page.strong if line in page.lines and line.startswith("Next: ")] == [*page.strong]
        assert len(page.strong) == 1


def test_common_cautions_are_shown_once_and_then_only_what_an_exercise_adds(clean: list[State]) -> None:
    safety, shown = content().messages.safety, dict[str, TextPage]()
    for state, page in pages(clean):
        if state.step.name == step_names.CAUTIONS and isinstance(page, TextPage):
            shown[str(state.plan.name)] = page
    assert list(shown) == ["outward_right", "inward_right", "row_right"]
    first, *later = (list(page.listed) for page in shown.values())
    most = {"pain_max": f"{clean[0].plan.limits['pain_max']:g}"}
    common = {fill(line, most) for line in (*safety.cautions_stop, *safety.cautions, *safety.cautions_at_first)}
    assert common <= {*first, shown["outward_right"].lead, *shown["outward_right"].stops}
    assert all(page.lead == content().messages.client.programme.new_cautions for page in list(shown.values())[1:])
    seen = set(first)
    for added in later:
        assert added
        assert not seen & set(added)
        seen |= set(added)


def test_every_caution_of_every_exercise_was_shown_before_its_first_set(clean: list[State]) -> None:
    """Whatever was left out as known: the client has come past each line of each exercise."""
    seen, checked = set[str](), set[str]()
    for state, page in pages(clean):
        if isinstance(page, TextPage):
            seen |= {page.lead, *page.listed, *page.stops}
        if state.step.name == "set_1.pain":
            assert set(cautions_before(state.plan).always) <= seen
            checked.add(str(state.plan.name))
    assert checked == set(NAMES)


def test_cautions_of_an_exercise_that_ended_before_its_page_are_not_taken_as_shown(clean: list[State]) -> None:
    """An exercise that the check-in stops at once has an entry of its own, and its page was never on the screen."""
    third = next(state for state in clean if state.record.part == 2 and state.step.name == step_names.CAUTIONS)
    session = third.file_session
    adds = cautions_before(third.plan, session, 2).always
    assert adds
    ended = next(state for state in clean if state.record.part == 2 and state.over).record.entry[-1]
    assert cautions_before(third.plan, session.with_entry(ended), 3).always == adds


def test_the_page_between_says_what_was_done_what_changes_and_what_is_left(clean: list[State]) -> None:
    found = between(clean)
    assert [page.title for _, page in found] == [f"Exercise {number} of 4 is done" for number in (1, 2, 3)]
    (_, first), (_, second), (_, third) = found
    assert first.lead == "External rotation with a band, right: 2 sets, 24 repetitions."
    assert first.lines[0] == (
        "Next: External rotation with a band, left. The same band. The anchor stays at 100 cm. "
        "The mark goes to 80 cm. Now the left arm."
    )
    assert first.lines[1].startswith("3 exercises are left, about ")
    assert "Now the right arm." in second.lines[0]
    assert "Another band: the thick band with the woven edge, one strand." in third.lines[0]
    assert third.lines[1].startswith("1 exercise is left, about ")
    assert [line.split(":")[0] for line in second.listed] == ["done", "done", "next", "then"]
    assert not any("your session" in line for _, page in found for line in (page.lead, *page.lines))


def test_the_drawing_between_is_that_of_the_next_exercise_with_the_load_of_today(demo_profiles: Path) -> None:
    """Pain now lowers the load of every exercise: what is drawn and said is what the next page sets up."""
    states = states_of(demo_profiles / "curlew", check_in__pain_now=2, pain_now=2)
    (_, page), *_ = between(states)
    following = next(state for state in states if state.record.part == 1 and state.step.name == step_names.PLACE)
    setup = setup_of(following.plan, following.record.current_rungs.step)
    assert page.drawing is not None
    assert page.drawing.scene == place_on_screen(setup, "left")
    assert f"The mark goes to {setup.distance_cm} cm." in page.lines[0]
    assert following.record.current_rungs != following.record.rungs


def test_a_lower_load_is_said_as_the_page_before_it_had_it(demo_profiles: Path) -> None:
    """The first page of a later exercise shows the lower load already; of the first one, it did not."""
    states = states_of(demo_profiles / "curlew", pain_now=2)
    leads = {
        state.record.part: page.lead
        for state, page in pages(states)
        if isinstance(state.step, SetupAgain) and isinstance(page, TextPage)
    }
    assert "The first page said:" in leads[0]
    assert "in place of" in leads[1]
    assert "The first page" not in leads[1]


def test_a_rest_names_a_new_load_only_where_the_set_before_had_another(demo_profiles: Path) -> None:
    states = states_of(demo_profiles / "curlew", pain_now=2)
    rests = [page for state, page in pages(states) if isinstance(state.step, Rest) and state.step.before_set == 2]
    lines = [line for page in rests for line in page.lines]
    assert rests
    assert any(line.startswith("Same setup as before:") for line in lines)
    assert not any(line.startswith("New:") for line in lines)


def test_the_rest_between_two_exercises_sends_nobody_to_the_place_of_a_set(clean: list[State]) -> None:
    state = next(state for state in clean if state.step.name == step_names.BETWEEN)
    assert isinstance(state.step, Rest)
    late = page_at(state, SetupCache().of(state), state.seen_s + state.step.seconds - 5)
    assert isinstance(late, RestPage)
    assert (late.title, late.done) == ("Rest before the next exercise", "")


def test_the_first_page_names_all_exercises_and_the_minutes_of_all(clean: list[State]) -> None:
    (_, page), *_ = pages(clean)
    assert isinstance(page, TextPage)
    assert any(line.startswith("Today: External rotation with a band, right; ") for line in page.lines)
    minutes = page.facts[0]
    assert minutes.about == "minutes, 4 exercises"
    assert any(f"and {minutes.value} for all 4 exercises" in line for line in page.lines)


def test_the_end_says_each_decision_once(clean: list[State]) -> None:
    state, page = list(pages(clean))[-1]
    assert isinstance(page, TextPage)
    ended = state.record.ended
    assert ended is not None
    assert sum(ended.decision.reason in line for line in (page.lead, *page.lines, *page.listed)) == 1
    assert len(page.listed) == len(NAMES)


def test_an_exercise_that_was_stopped_or_left_is_not_called_done(demo_profiles: Path) -> None:
    stopped = between(states_of(demo_profiles / "curlew", set_1__pain=6))
    _, page = stopped[0]
    assert page.listed[0] == "stopped: External rotation with a band, right"
    state, _ = stopped[0]
    first = first_state(state.plan, MONDAY)._replace(session=state.session, coming=state.coming)
    left = leave(first, Instant(1.0, MONDAY))
    after = page_at(left, SetupCache().of(left), left.seen_s)
    assert isinstance(after, TextPage)
    assert after.title == "Exercise 1 of 4: not done"
    assert after.listed[0] == "not done: External rotation with a band, right"


def test_the_pages_that_ask_whether_it_ends_say_what_ends(demo_profiles: Path) -> None:
    """Pain over the limit ends the exercise alone where others follow, and so does leaving it."""
    states = states_of(demo_profiles / "curlew", set_1__pain=6)
    asked = next(one for one in states if one.question is not None and one.question.name == "set_1.pain")
    chosen = Chosen(at=MONDAY, step="set_1.pain", value=6)
    programme = content().messages.client.programme
    assert programme.ends in confirm_page(asked._replace(chosen=chosen), chosen).lines
    alone = asked._replace(chosen=chosen, coming=())
    assert content().messages.client.confirm.ends in confirm_page(alone, chosen).lines
    assert leave_page(asked.plan, coming=3).title == programme.leave_title
    assert leave_page(asked.plan).title == content().messages.client.offer.leave_title

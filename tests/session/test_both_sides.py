"""With exercises on both sides a question says which shoulder it is about."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model import step_names
from coach.session.phrases import question_text
from coach.session.script import Ask
from coach.store.client_store import ClientStore
from coach.store.programme.opening import as_at_home
from tests.plans import plan_of, shipped

PAIN_NOW = Ask(step_names.PAIN_NOW, "pain_now", "zero_to_ten", 5.0)
ELBOW = Ask(step_names.in_set(1, "elbow"), "elbow", "how_often", 5.0, set_number=1)
AFTER_SET = Ask(step_names.in_set(1, step_names.PAIN), step_names.PAIN, "zero_to_ten", 5.0, set_number=1)


def test_the_check_in_asks_about_the_worse_shoulder_and_a_set_names_its_side() -> None:
    one = plan_of("tern")
    both = replace(one, both_sides=True, profile=one.profile.on_side("left"))
    asked = shipped().messages.client.question["pain_now"]
    assert (question_text(PAIN_NOW, one).ask, question_text(PAIN_NOW, both).ask) == (asked.ask, asked.ask_both)
    assert [question_text(step, both).title for step in (ELBOW, AFTER_SET)] == ["After set 1, left"] * 2
    assert question_text(ELBOW, one).title == "After set 1"


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("position", ["external_rotation", "raise"])
def test_a_title_that_says_what_to_do_stays_as_it_is(language: str, position: str) -> None:
    """The pages of the pain key say that the session stopped and where the hand goes: whole sentences."""
    one = plan_of("tern")
    underfoot = load_content(content_folder(), language).exercise("raise").positions[0]
    both = replace(one, both_sides=True, content=load_content(content_folder(), language))
    both = replace(both, position=underfoot) if position == "raise" else both
    questions = both.content.messages.client.question
    for name in (step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN):
        asked = questions[name]
        sentence = asked.title_underfoot if position == "raise" and asked.title_underfoot else asked.title
        ask = Ask(step_names.in_set(2, name), name, "listed", 0.0, set_number=2)
        assert question_text(ask, both).title == sentence


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_side_follows_only_the_name_of_a_set(language: str) -> None:
    both = replace(plan_of("tern"), both_sides=True, content=load_content(content_folder(), language))
    sided = set()
    for name in both.content.messages.client.question.keys() - {step_names.ACTIVITY}:
        title = question_text(Ask(step_names.in_set(2, name), name, "listed", 0.0, set_number=2), both).title
        if ", " in title and title.rsplit(", ", 1)[1] in both.content.messages.client.setup.side.values():
            sided.add(name)
    assert sided == {step_names.PAIN, step_names.EFFORT, step_names.TWO_MORE, step_names.SKIP}


def test_it_is_known_from_the_programme(demo_profiles: Path) -> None:
    for name, both in (("curlew", True), ("tern", False)):
        store = ClientStore.read(demo_profiles / name)
        assert as_at_home(store.exercises[0], plan_of("tern")).both_sides is both

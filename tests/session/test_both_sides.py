"""With exercises on both sides a question says which shoulder it is about."""

from pathlib import Path

from msgspec.structs import replace

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


def test_it_is_known_from_the_programme(demo_profiles: Path) -> None:
    for name, both in (("curlew", True), ("tern", False)):
        store = ClientStore.read(demo_profiles / name)
        assert as_at_home(store.exercises[0], plan_of("tern")).both_sides is both

"""How the band goes slack is said by how it is held, wherever a set stops."""

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model import step_names
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.screens.sound.spoken_lines import signal_words
from coach.session.phrases import question_text
from coach.session.runner import pause
from coach.session.script import Ask
from coach.session.signals import Signal
from tests.plans import begun
from tests.session.test_runner import at_the_set, present

TROUBLE = Ask(step_names.in_set(1, step_names.TROUBLE), step_names.TROUBLE, "trouble", 6.0, 1)


@pytest.mark.parametrize(
    ("language", "anchored", "underfoot"), [("en", "anchor", "ower"), ("de", "Befestigung", "enken")]
)
def test_to_an_anchor_the_client_steps_and_from_a_foot_the_hand_comes_down(
    language: str, anchored: str, underfoot: str
) -> None:
    state, content = at_the_set(begun(), 1, 0.0), load_content(content_folder(), language)
    context = setup_context(state.plan, state.record)
    for exercise, here, not_here in (("external_rotation", anchored, underfoot), ("raise", underfoot, anchored)):
        plan = replace(state.plan, position=content.exercise(exercise).positions[0], content=content)
        held = state._replace(plan=plan)
        page = page_at(pause(held, present(30.0)), context, 30.0)
        assert isinstance(page, TextPage)
        words = (question_text(TROUBLE, plan).title, *page.lines, signal_words(Signal(0.0, "set_over"), held))
        assert all(here in line for line in words), words
        assert not any(not_here in line for line in words), words

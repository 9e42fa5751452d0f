"""Sentences that fit the number and the moment: one set has no rest between, and a first plan keeps nothing."""

import pytest
from msgspec.structs import replace

from coach.commands.support.ask_plan import ask_plan
from coach.content_files.content_folder import content_folder, load_content
from coach.model.profile import TrainingPlan
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.session.interruptions import fewer_sets
from coach.session.rehearsal import first_state
from coach.session.runner import answer
from coach.session.state import Instant
from tests.clocks import START
from tests.plans import plan_of, shipped

NOW = Instant(0.0, START)


def _first_page(language: str, sets: int) -> TextPage:
    plan = replace(plan_of("tern"), content=load_content(content_folder(), language))
    state = answer(fewer_sets(first_state(plan, START), NOW), sets, NOW)
    page = page_at(state, setup_context(state.plan, state.record), 0.0)
    assert isinstance(page, TextPage)
    return page


@pytest.mark.parametrize(
    ("language", "one", "between"),
    [("en", "1 set of 8", "rest between"), ("de", "1 Satz mit 8 Wiederholungen", "dazwischen")],
)
def test_one_set_has_no_rest_between(language: str, one: str, between: str) -> None:
    assert one in _first_page(language, 1).lines
    assert any(between in line for line in _first_page(language, 2).lines)


def _title(before: TrainingPlan | None) -> str:
    said: list[str] = []
    ask_plan(shipped(), before, ask=lambda _: "", say=said.append)
    return said[0]


def test_a_first_plan_does_not_speak_of_what_was_said_before() -> None:
    assert _title(None) == "When will you train?"
    assert "keeps what you said before" in _title(TrainingPlan(when="after breakfast"))

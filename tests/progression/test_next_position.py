"""The position that may be suggested is the next one of the goal, never a later one."""

import pytest

from coach.progression.facts import extract_facts
from tests.progression.records import book, session, standing


@pytest.mark.parametrize(("here", "following"), [("0", "45"), ("45", "90"), ("90", None)])
def test_the_next_position_is_the_one_after_this_in_the_goal(here: str, following: str | None) -> None:
    record = session().model_copy(update={"positions": ("0", "45", "90"), "position": here})
    assert extract_facts(standing(), record, book(), "session").next_position == following

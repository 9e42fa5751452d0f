"""What would have changed a decision: true when it is tried, and silent after a stop."""

from typing import Any

import pytest

from coach.model.page_words.history import HistoryWords
from coach.model.record import Decision
from coach.progression.neighbours import neighbours
from coach.reports.history import differences, would_change
from tests.progression.cases import BLADE
from tests.progression.records import STEPS, book, judge, session, standing


def near(different: dict[str, Any], **stood: Any) -> dict[str, tuple[int, Decision]]:
    """Each neighbour of a session by its name."""
    record = session(**different)
    judged = judge(record, standing(**{"repetitions": record.repetitions, **stood}))
    return {one.change: (one.sessions, one.decision) for one in neighbours(judged, book())}


def test_one_more_clean_session_is_said_with_its_torque() -> None:
    steps = tuple(STEPS[number].model_copy(update={"mean_nm": nm}) for number, nm in enumerate((2.25, 2.37, 2.51)))
    judged = judge(session(goal=15, load=1, steps=steps), standing(repetitions=15))
    words = book().content.words.of(HistoryWords)
    said = [would_change(one, judged, words) for one in neighbours(judged, book())]
    assert said == ["1 more clean session at 15 and the load goes from 2.37 to 2.51 Nm, with 15 repetitions."]


@pytest.mark.parametrize(
    ("different", "stood", "change", "sessions", "rule"),
    [
        ({"given": {"set_1.slack": "yes"}}, {}, "clean_form", 1, "repetitions_up"),
        ({"given": {"set_1.elbow": "not_sure"}}, {}, "clean_form", 1, "repetitions_up"),
        ({"given": BLADE}, {}, "clean_form", 1, "repetitions_up"),
        ({"done": (10, 10, 9)}, {}, "whole_sets", 1, "repetitions_up"),
        ({"done": (10,)}, {}, "whole_sets", 1, "repetitions_up"),
        ({"goal": 15, "given": {"two_more": "no"}}, {"ready_sessions": 1}, "two_more", 1, "load_up"),
        ({"given": {"pain_now": 3}}, {"pain_before_last": 1}, "settled", 1, "repetitions_up"),
        ({}, {"days_ago": 20}, "no_gap", 1, "repetitions_up"),
        ({"goal": 15}, {"falls": 1, "fell_from_nm": STEPS[4].mean_nm}, "more_sessions", 3, "load_up"),
        ({"goal": 15, "load": 9}, {}, "more_sessions", 1, "position_ready"),
        ({"goal": 15, "load": 9, "positions": (0,)}, {}, "more_sessions", 1, "programme_complete"),
        ({"done": (9, 9, 9), "given": {"set_1.slack": "yes"}}, {}, "all", 1, "repetitions_up"),
    ],
)
def test_what_would_have_changed_it(
    different: dict[str, Any], stood: dict[str, Any], change: str, sessions: int, rule: str
) -> None:
    found = near(different, **stood)
    assert change in found
    assert found[change][0] == sessions
    assert found[change][1].rule == rule


@pytest.mark.parametrize("given", [{"sign": "lump"}, {"set_1.pain": 6}, {"set_1.trouble": "equipment"}])
def test_a_stop_is_not_bargained_with(given: dict[str, Any]) -> None:
    assert near({"given": given}) == {}


def test_each_difference_with_progress_is_named() -> None:
    now = judge(session()).after
    saved = now.model_copy(update={"repetitions": 14, "pains": ()})
    words = book().content.words.of(HistoryWords)
    said = list(differences(saved, now, words))
    assert [line.partition(":")[0] for line in said] == ["repetitions", "pains"]
    assert "progress.toml says 14, the records say 12" in said[0]
    assert list(differences(now, now, words)) == []

"""What would have changed a decision: true when it is tried, and silent after a stop."""

from datetime import timedelta
from typing import Any

import pytest

from coach.model.record import Decision, LoadChanged
from coach.progression.counterfactuals import counterfactuals
from coach.progression.decision_messages import rule_label
from coach.reports.text.history import counterfactual_text, differences
from tests.progression.cases import BLADE
from tests.progression.records import DOSE, START, STEPS, book, judge, rungs, session, standing


def near(different: dict[str, Any], **stood: Any) -> dict[str, tuple[int, Decision]]:
    """Each neighbour of a session by its name."""
    record = session(**different)
    judged = judge(record, standing(**{"repetitions": record.repetitions, **stood}))
    return {one.change: (one.sessions, one.decision) for one in counterfactuals(judged, book())}


def test_one_more_clean_session_is_said_with_its_torque() -> None:
    steps = tuple(STEPS[number].model_copy(update={"mean_nm": nm}) for number, nm in enumerate((2.25, 2.37, 2.51)))
    judged = judge(session(goal=15, load=1, steps=steps), standing(repetitions=15))
    said = [counterfactual_text(one, judged, book().content) for one in counterfactuals(judged, book())]
    assert said == ["1 more clean session at 15 and the load goes from 2.37 to 2.51 Nm, with 15 repetitions."]
    known = tuple(step.model_copy(update={"low_nm": 2.0, "high_nm": 3.04}) for step in steps)
    judged = judge(session(goal=15, load=1, steps=known), standing(repetitions=15))
    (said_with, *_) = [counterfactual_text(one, judged, book().content) for one in counterfactuals(judged, book())]
    assert "the load goes from 2.37 to 2.51 Nm, likely 2.0 to 3.0, with" in said_with


@pytest.mark.parametrize(
    ("different", "stood", "change", "sessions", "rule"),
    [
        ({"given": {"set_1.slack": "yes"}}, {}, "clean_form", 1, "repetitions_up"),
        ({"given": {"set_1.elbow": "not_sure"}}, {}, "clean_form", 1, "repetitions_up"),
        ({"given": BLADE}, {}, "clean_form", 1, "repetitions_up"),
        ({"done": (10, 10, 9)}, {}, "whole_sets", 1, "repetitions_up"),
        ({"done": (10,)}, {}, "whole_sets", 1, "repetitions_up"),
        ({"goal": 15, "given": {"two_more": "no"}}, {"ready_sessions": 1}, "two_more", 1, "load_up"),
        ({"given": {"pain_now": 3}}, {"usual_pain": 1}, "settled", 1, "repetitions_up"),
        ({}, {"days_ago": 20}, "no_gap", 1, "repetitions_up"),
        ({"goal": 15}, {"falls": 1, "fell_from_nm": STEPS[4].mean_nm}, "more_sessions", 3, "load_up"),
        ({"goal": 15, "load": 9}, {}, "more_sessions", 1, "position_ready"),
        ({"goal": 15, "load": 9, "positions": ("0",)}, {}, "more_sessions", 1, "programme_complete"),
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


# Eight sessions are near and nine are not; one every second day, so that the first two weeks are over at the seventh.
@pytest.mark.parametrize(
    ("different", "stood", "sessions"),
    [
        ({"goal": 15}, {"falls": 3, "fell_from_nm": STEPS[4].mean_nm, "ready_sessions": 7}, 8),
        ({"goal": 15}, {"falls": 3, "fell_from_nm": STEPS[4].mean_nm, "ready_sessions": 6}, None),
        ({"goal": 15}, {"weeks": 0}, 7),
        ({"goal": 15, "done": ()}, {"ready_sessions": 1}, 1),
        ({"goal": 15, "limits": {"pain_max": 0}}, {}, 1),
        ({"goal": 15, "given": {"set_2.pain": 6}}, {}, None),
    ],
)
def test_how_many_clean_sessions_more_are_named(
    different: dict[str, Any], stood: dict[str, Any], sessions: int | None
) -> None:
    more = near(different, **stood).get("more_sessions")
    assert (more and (more[0], more[1].rule)) == (sessions and (sessions, "load_up"))


@pytest.mark.parametrize(
    ("given", "stood", "change"),
    [
        (BLADE, {}, "clean_form"),
        ({"pain_now": 3}, {"usual_pain": 1}, "settled"),
        ({}, {"days_ago": 20}, "no_gap"),
    ],
)
def test_without_its_reason_the_step_down_of_the_session_was_not_made(
    given: dict[str, Any], stood: dict[str, Any], change: str
) -> None:
    down = session(given=given).with_entry(LoadChanged(at=START, rule="band_too_heavy", rungs=rungs(2)))
    judged = judge(down, standing(**stood))
    led = {one.change: one.decision for one in counterfactuals(judged, book())}
    assert (judged.decision.load, led[change].load) == (STEPS[2], STEPS[3])


def test_pain_no_higher_than_before_was_settled_already() -> None:
    """Neither a level above the limit before the last session, nor the very same level, is a change."""
    assert "settled" not in near({"given": {"pain_now": 1}}, usual_pain=6)
    twice = session(given={**BLADE, "pain_now": 2})
    for number in (2, 1):
        twice = twice.with_entry(LoadChanged(at=START, rule="band_too_heavy", rungs=rungs(number)))
    judged = judge(twice, standing(usual_pain=2))
    assert [one.change for one in counterfactuals(judged, book())] == ["clean_form"]


def test_pain_that_was_not_said_is_not_settled_either() -> None:
    assert "settled" not in near({"given": {"pain_now": None}}, usual_pain=1)


def test_the_next_clean_session_begins_where_this_one_led() -> None:
    """Ten led to twelve, and twelve will lead to fourteen."""
    sessions, decision = near({})["more_sessions"]
    assert (sessions, decision.rule, decision.repetitions) == (1, "repetitions_up", 14)


def test_without_the_gap_the_session_is_two_days_after_the_last() -> None:
    """First session twelve days before the last: two days later the two weeks of familiarisation are over."""
    first = START - timedelta(days=32)
    found = near({"goal": 15}, days_ago=20, first_session=first, ready_sessions=1)
    assert found["no_gap"][1].rule == "load_up"
    found = near({"goal": 15}, days_ago=20, first_session=first + timedelta(days=1), ready_sessions=1)
    assert found["no_gap"][1].rule == "familiarisation"


def test_no_gap_is_named_only_where_a_gap_decided() -> None:
    """A second session on one day would lead on if it came two days later: that is not what is said then."""
    assert "no_gap" not in near({"goal": 15}, days_ago=0, ready_sessions=1)
    assert "no_gap" not in near({}, last_session=None)


def test_missing_sets_are_thought_without_fault_or_pain_and_those_done_as_they_were() -> None:
    found = near({"done": (10,), "limits": {"pain_max": 0}})
    assert found["whole_sets"][1].rule == "repetitions_up"
    assert "whole_sets" not in near({"done": (10,), "given": {"set_1.slack": "yes"}})


def test_in_a_short_session_two_more_is_asked_after_its_own_last_set() -> None:
    dose = DOSE.model_copy(update={"sets_least": 2})
    short = {"goal": 15, "dose": dose, "done": (15, 15), "given": {"today.sets": 2, "set_2.two_more": "no"}}
    assert near(short, ready_sessions=1)["two_more"][1].rule == "load_up"


def test_where_the_client_is_elsewhere_by_now_nothing_would_have_changed_it() -> None:
    assert near({"given": BLADE, "position": "45"}) == {}


@pytest.mark.parametrize("given", [{"sign": "lump"}, {"set_1.pain": 6}, {"set_1.trouble": "equipment"}])
def test_a_stop_is_not_bargained_with(given: dict[str, Any]) -> None:
    assert near({"given": given}) == {}


def test_each_difference_with_progress_is_named() -> None:
    now = judge(session()).after
    saved = now.model_copy(update={"repetitions": 14, "pains": ()})
    content = book().content
    said = list(differences(saved, now, content))
    assert [line.partition(":")[0] for line in said] == ["repetitions", "pains"]
    assert "progress.toml says 14, the records say 12" in said[0]
    assert list(differences(now, now, content)) == []


def test_a_difference_in_the_decision_names_its_rule_in_words() -> None:
    now = judge(session()).after
    assert now.decision is not None
    saved = now.model_copy(update={"decision": now.decision.model_copy(update={"rule": "pain_over_limit"})})
    content = book().content
    (said,) = differences(saved, now, content)
    for rule in ("pain_over_limit", now.decision.rule):
        assert rule_label(rule, content) in said
        assert rule not in said

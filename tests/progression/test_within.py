"""What the rules ask for within a session, and that the decision at its end agrees with it."""

from typing import Any

import pytest

from coach.model.load_step import LoadStep, Rungs
from coach.model.record import BandAtHand, LoadChanged, Record
from coach.progression.state_machine import immediate_action
from tests.progression.cases import BLADE, LIGHT
from tests.progression.records import START, STEPS, book, judge, rungs, session, standing


def changed(record: Record, to: Rungs, rule: str = "band_too_heavy") -> Record:
    """The record with a step down in it."""
    return record.with_entry(LoadChanged(at=START, rule=rule, rungs=to))


@pytest.mark.parametrize(
    ("given", "stood", "rule", "stops", "load"),
    [
        ({"check_in.settled": "not_yet"}, {}, "not_settled", False, STEPS[2]),
        ({"check_in.settled": "not_yet"}, {"eased": True}, "not_settled", False, None),
        ({}, {"days_ago": 15}, "long_gap", False, STEPS[2]),
        ({"pain_now": 6}, {}, "pain_over_limit", True, None),
        ({"sign": "lump"}, {}, "warning_sign", True, None),
        ({"check.band_sound": "no"}, {}, "equipment_failed", True, None),
    ],
)
def test_the_check_in(
    given: dict[str, Any], stood: dict[str, Any], rule: str, stops: bool, load: LoadStep | None
) -> None:
    verdict = immediate_action(standing(**stood), session(done=(), given=given), book(), "check_in")
    assert verdict is not None
    assert (verdict.rule.name, verdict.stops, verdict.load) == (rule, stops, load)
    assert "{" not in verdict.sentence


def test_a_good_check_in_and_a_good_set_ask_for_nothing() -> None:
    assert immediate_action(standing(), session(), book(), "check_in") is None
    assert immediate_action(standing(), session(), book(), "set", 1) is None


def test_rules_that_only_tell_do_not_speak_within_the_session() -> None:
    assert immediate_action(standing(weeks=20), session(), book(), "check_in") is None


@pytest.mark.parametrize(("lighter", "load"), [(None, STEPS[2]), (LIGHT, LIGHT)])
def test_a_set_that_was_too_heavy(lighter: LoadStep | None, load: LoadStep) -> None:
    record = session(given=BLADE, lighter=lighter)
    verdict = immediate_action(standing(), record, book(), "set", 1)
    assert verdict is not None
    assert (verdict.rule.name, verdict.stops, verdict.load) == ("band_too_heavy", False, load)
    assert immediate_action(standing(), record, book(), "set", 2) is None


def test_the_load_stays_where_the_session_took_it() -> None:
    twice = changed(changed(session(given=BLADE), rungs(2)), rungs(1))
    decision = judge(twice).decision
    assert (decision.rule, decision.move, decision.load) == ("band_too_heavy", "regress", STEPS[1])
    assert decision.numbers["from_nm"] == round(STEPS[3].mean_nm, 3)


def test_pain_after_a_step_down_takes_one_more_off() -> None:
    record = changed(session(given={**BLADE, "set_2.pain": 6}), rungs(2))
    assert judge(record).decision.load == STEPS[1]


def test_another_band_at_hand_holds_the_place_and_pain_with_it_lowers_it() -> None:
    def with_band(**different: Any) -> Record:
        return session(**different).with_entry(BandAtHand(at=START, rungs=rungs(1)))

    ready = standing(repetitions=15, ready_sessions=1)
    held = judge(with_band(goal=15), ready)
    assert (held.decision.rule, held.decision.load, held.after.ready_sessions) == ("other_band", STEPS[3], 0)
    assert judge(with_band(given={"set_1.pain": 6})).decision.load == STEPS[0]


@pytest.mark.parametrize(
    ("given", "rule"),
    [
        ({"sign": "lump", "check.band_sound": "no"}, "warning_sign"),
        ({"check.band_sound": "no"}, "after_repair"),
        ({"pain_now": 9}, "after_repair"),
    ],
)
def test_a_warning_sign_is_said_before_a_repair_and_that_before_the_rest(given: dict[str, Any], rule: str) -> None:
    repaired = standing(repaired_on=START.date())
    assert judge(session(given=given, done=()), repaired).decision.rule == rule
    verdict = immediate_action(repaired, session(given=given, done=()), book(), "check_in")
    assert verdict is not None
    assert verdict.rule.name == rule


def test_rules_are_tried_in_the_order_of_the_design() -> None:
    """Where two rules may both match, the first is the safer one; the order is the design's."""
    assert [rule.name for rule in book().content.rules] == [
        "warning_sign",
        "after_repair",
        "event_in_gap",
        "gap_to_measure",
        "equipment_failed",
        "pain_over_limit",
        "pain_left_open",
        "pain_stop_again",
        "not_settled",
        "pain_above_usual",
        "pain_stays_up",
        "pain_rising_fast",
        "pain_rising",
        "long_gap",
        "twelve_weeks",
        "band_too_heavy",
        "under_performed",
        "pain_not_said",
        "not_clear",
        "no_set_done",
        "measured_fault",
        "check_not_met",
        "measure_again",
        "unclean",
        "timing_off",
        "not_all_asked",
        "other_band",
        "pain_near_limit",
        "settled_late",
        "pain_masked",
        "held_by_condition",
        "second_today",
        "familiarisation",
        "repetitions_up",
        "load_frozen",
        "position_ready",
        "programme_complete",
        "another_rises",
        "load_up",
        "otherwise",
    ]

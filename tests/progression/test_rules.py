"""Every rule on both sides of its threshold, and which of two rules wins."""

from datetime import timedelta
from itertools import pairwise
from typing import Any

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.load_step import LoadStep
from coach.progression.apply_instructions import apply_instruction
from coach.progression.session_conditions import CONDITIONS
from tests.progression.cases import BLADE, CASES, Different
from tests.progression.records import START, STEPS, book, instruction, judge, lived, prescription, session, standing


@pytest.mark.parametrize(
    ("what", "different", "stood", "rule", "move", "load"), CASES, ids=[case[0] for case in CASES]
)
def test_the_rule_that_decides(
    what: str, different: Different, stood: Different, rule: str, move: str, load: LoadStep
) -> None:
    stood = dict(stood)
    if days_over := stood.pop("days_over", 0):
        stood["first_session"] = START - timedelta(weeks=stood["weeks"], days=days_over)
    record = session(**different)
    decision = judge(record, standing(**{"repetitions": record.repetitions, **stood})).decision
    assert (decision.rule, decision.move, decision.load) == (rule, move, load), what


def test_every_rule_is_among_the_cases() -> None:
    decided = {case[3] for case in CASES}
    beside = {rule.name for rule in book().content.rules if rule.adds_to_decision}
    # In the tests of the short session, of questions that take turns, of published values, of programmes, of sensors.
    elsewhere = {"other_band", "not_all_asked", "timing_off", "pain_rising_fast", "another_rises", "measured_fault"}
    assert decided | beside | elsewhere == {rule.name for rule in book().content.rules}
    assert {rule.when for rule in book().content.rules} == set(CONDITIONS)


def test_a_session_left_at_the_check_in_breaks_no_streak() -> None:
    ready, left = {"goal": 15}, {"goal": 15, "done": ()}
    assert [one.decision.rule for one in lived([ready, left, ready], goal=15)] == [
        "otherwise",
        "no_set_done",
        "load_up",
    ]
    under = {"done": (9, 9, 7)}
    rules = [one.decision.rule for one in lived([under, under, {"done": ()}, under])]
    assert rules == ["unclean", "unclean", "no_set_done", "under_performed"]


def test_a_stop_breaks_the_streak_towards_more_load() -> None:
    ready, failed = {"goal": 15}, {"goal": 15, "given": {"check.band_sound": "no"}, "done": ()}
    assert lived([ready, failed, ready], goal=15)[-1].decision.rule == "otherwise"


def test_two_sessions_on_one_day_are_one_session_of_the_streak() -> None:
    ready = {"goal": 15}
    rules = [one.decision.rule for one in lived([ready, ready, ready], goal=15, every_days=0.1)]
    assert rules == ["otherwise", "second_today", "second_today"]
    assert lived([ready, ready], goal=15, every_days=0.1)[-1].after.ready_sessions == 1


def test_a_gap_is_answered_once_though_the_first_start_after_it_was_left() -> None:
    before = standing(days_ago=20)
    first, second = lived([{"done": ()}, {}], before=before, every_days=1)
    assert (first.decision.rule, first.decision.load) == ("long_gap", STEPS[2])
    assert second.decision.load == STEPS[2]


def test_pain_over_the_limit_at_three_check_ins_lowers_the_load_once() -> None:
    sore = {"given": {"pain_now": 6}, "done": ()}
    loads = [one.decision.load for one in lived([sore, sore, sore])]
    assert loads == [STEPS[2]] * 3


def test_a_step_that_was_too_much_is_tried_again_ever_later() -> None:
    """A client who is strong enough for step 3 and not for step 4: the tries of step 4 become rarer."""
    progress, load, tried = standing(load=3, repetitions=15), 3, []
    for number in range(120):
        given = BLADE if load == 4 else {}
        one = judge(session(days=2 * number, goal=15, load=load, given=given), progress)
        progress = one.after.model_copy(update={"status": "active"})
        tried += [number] if load == 4 else []
        load = STEPS.index(one.decision.load)
    gaps = [later - earlier for earlier, later in pairwise(tried)]
    assert gaps == [5, 9, 17, 33]


def test_a_step_that_was_mastered_is_not_held_against_the_client() -> None:
    before = standing(load=4, falls=2, fell_from_nm=STEPS[4].mean_nm, ready_sessions=1)
    assert judge(session(goal=15, load=4), before).after.falls == 0
    assert judge(session(goal=15, load=3), before).after.falls == 2


def test_pain_that_stays_up_lowers_the_load_until_the_therapist_looks() -> None:
    """Two weeks of pain 1, then pain 4 at every check-in: a step down each time, and a review at the third."""
    pains = [*[1] * 8, 4, 4, 4]
    judged = lived([{"given": {"pain_now": pain}} for pain in pains], before=standing(), first=5)
    assert {one.decision.rule for one in judged[8:]} == {"pain_above_usual"}
    top = STEPS.index(judged[7].decision.load)
    assert [one.decision.load for one in judged[8:]] == [STEPS[top - down] for down in (1, 2, 3)]
    assert [one.after.status for one in judged[8:]] == ["active", "active", "review"]
    assert "pain_stays_up" in judged[10].decision.tell


def test_ending_a_review_accepts_the_level_of_pain() -> None:
    """Without that, a level that stays up could never lead on again."""
    up = standing(status="review", usual_pain=1, usual_since=START.date(), high_check_ins=3, repetitions=10)
    up = apply_instruction(up, instruction("end_review", 1), prescription(), book())
    judged = lived([{"given": {"pain_now": 4, "set_1.pain": 4}}] * 3, before=up)
    assert [one.decision.rule for one in judged] == ["repetitions_up"] * 3
    assert judged[-1].after.usual_pain == 4


def test_the_review_after_twelve_weeks_counts_from_the_last_word_to_go_on() -> None:
    began = standing(weeks=20)
    assert judge(session(), began).decision.status == "review"
    looked = began.model_copy(update={"looked_at": START - timedelta(weeks=11)})
    assert judge(session(), looked).decision.status == "active"


@pytest.mark.parametrize("stood", ["active", "paused", "review", "complete"])
@pytest.mark.parametrize(
    ("different", "status"),
    [
        ({}, "active"),
        ({"given": {"set_1.pain": 6}}, "paused"),
        ({"given": {"sign": "lump"}}, "review"),
        ({"given": BLADE}, "active"),
    ],
)
def test_only_the_therapist_ends_a_review_and_complete_stays_until_less_load(
    stood: Any, different: Different, status: str
) -> None:
    after = judge(session(**different), standing(status=stood)).after
    expected = "review" if stood == "review" else status
    assert after.status == ("complete" if stood == "complete" and not different else expected)


def test_records_that_say_no_goal_suggest_no_position() -> None:
    """Records of an earlier format do not carry the goal's positions."""
    decision = judge(session(goal=15, load=9, positions=()), standing(repetitions=15, ready_sessions=5)).decision
    assert (decision.rule, decision.numbers["missing"]) == ("otherwise", "heavier_step")


@pytest.mark.parametrize(
    ("different", "stood", "missing"),
    [
        ({"goal": 15}, {}, "a second session like this one"),
        ({"goal": 15}, {"falls": 1, "fell_from_nm": STEPS[4].mean_nm}, "the same 3 more times"),
        (
            {"goal": 15},
            {"falls": 1, "fell_from_nm": STEPS[4].mean_nm, "ready_sessions": 2},
            "missing for the next step: the same once more",
        ),
        ({"goal": 15, "given": {"two_more": "no"}}, {}, "two more clean ones left over in the last set"),
        (
            {"goal": 15, "target_nm": 2.0},
            {"ready_sessions": 1, "position_cap": 30},
            "your therapist's word for the next position",
        ),
        ({"goal": 15, "load": 9, "target_nm": 9.0}, {"ready_sessions": 1}, "a heavier step"),
    ],
)
def test_what_is_missing_is_said(different: Different, stood: Different, missing: str) -> None:
    record = session(**different)
    assert missing in judge(record, standing(repetitions=record.repetitions, **stood)).decision.reason


@pytest.mark.parametrize(("language", "named"), [("en", "in your check-ins"), ("de", "bei den fragen am anfang")])
@pytest.mark.parametrize("rule", ["pain_rising", "pain_rising_fast"])
def test_a_mean_of_the_week_is_said_to_be_of_the_check_ins(language: str, named: str, rule: str) -> None:
    """Beside the worst pain of a set it was a number that the client had never given."""
    messages = load_content(content_folder(), language).messages.rules.rule[rule]
    assert named in messages.client.casefold()


def test_a_sign_off_word_is_needed_for_the_next_position() -> None:
    from coach.progression.state_machine import fold

    ready = [session(days=day, goal=15, load=9) for day in (20, 22, 24)]
    records = [session(days=0, goal=15, load=9), *ready]
    progress, _ = fold(prescription(), records, book())
    assert (progress.status, progress.position) == ("review", "0")
    unlocked, _ = fold(prescription(sign_offs=(instruction("unlock_position", 25, position="45"),)), records, book())
    assert (unlocked.status, unlocked.position, unlocked.load, unlocked.repetitions) == ("active", "45", None, 8)


def test_a_lighter_band_of_the_same_torque_is_no_step_down() -> None:
    same = LoadStep(grade="striped", strands=1, distance_cm=95, mean_nm=STEPS[3].mean_nm, peak_nm=3.0)
    decision = judge(session(given=BLADE, lighter=same)).decision
    assert (decision.move, decision.load) == ("hold", STEPS[3])


def test_a_session_that_was_not_ready_counts_for_none_of_those_that_are_asked_for() -> None:
    numbers = judge(session(goal=15, given={"two_more": "no"}), standing(repetitions=15)).decision.numbers
    assert numbers["more"] == 2
    assert judge(session(goal=15), standing(repetitions=15)).decision.numbers["more"] == 1


@pytest.mark.parametrize(
    "given",
    [
        {"set_1.slack": "yes"},
        {"set_2.elbow": "not_sure"},
        {"set_3.pain": None},
        {"set_1.pain": 5},
        {"set_1.trouble": "sharp"},
        {"set_1.trouble": "ache", "set_1.trouble_where": "upper_arm"},
        {"check_in.settled": "morning"},
        {"check_in.relief": "painkiller"},
    ],
)
def test_a_fault_or_an_unknown_answer_breaks_the_streak(given: dict[str, Any]) -> None:
    ready = {"goal": 15}
    judged = lived([ready, {"goal": 15, "given": given}, ready], goal=15)
    assert [one.after.ready_sessions for one in judged] == [1, 0, 1]


@pytest.mark.parametrize(
    ("days_ago", "compared"), [((13, 12), True), ((14, 12), False), ((8, 7), True), ((7, 6), False), ((9, 8), True)]
)
def test_a_week_is_seven_days_to_today_and_the_last_one_the_seven_before(
    days_ago: tuple[int, int], compared: bool
) -> None:
    pains = [{"on": START.date() - timedelta(days=days), "pain": 1} for days in days_ago]
    this_week = {"on": START.date() - timedelta(days=1), "pain": 5}
    before = standing(pains=(*pains, this_week))
    decision = judge(session(given={"pain_now": 5}), before).decision
    assert (decision.rule == "pain_rising_fast") == compared
    if compared:
        assert (decision.numbers["this_week"], decision.numbers["last_week"]) == (5.0, 1.0)

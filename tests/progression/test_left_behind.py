"""What one session leaves behind for the next, and what a decision says in numbers and in words."""

from datetime import timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.record import SetDone
from coach.progression.apply_instructions import apply_instruction
from coach.progression.decision_messages import load_placeholders, therapist_message
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import advance
from tests.progression.cases import BLADE, CASES, LIGHT
from tests.progression.records import START, STEPS, book, instruction, judge, prescription, session, standing

READY = {"goal": 15}
_LONG = timedelta(days=20)


@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_a_decision_carries_the_numbers_that_its_rule_declares(case: tuple[Any, ...]) -> None:
    """The sentences can name what rules.toml declares, and nothing else."""
    _, different, stood, *_ = case
    stood = {name: value for name, value in stood.items() if name != "days_over"}
    record = session(**different)
    decision = judge(record, standing(**{"repetitions": record.repetitions, **stood})).decision
    (rule,) = [rule for rule in book().content.rules if rule.name == decision.rule]
    assert set(decision.numbers) == {*rule.numbers, "from_nm", "to_nm"}


@pytest.mark.parametrize(
    ("different", "stood", "end"),
    [
        ({"given": BLADE, "lighter": LIGHT}, {}, "From here on: striped band, one strand, the 75 cm mark."),
        ({"given": BLADE}, {}, "One step easier: knotted band, one strand, the 70 cm mark."),
        ({"given": BLADE, "load": 0}, {}, "This is already your lightest step, so it stays. Tell your therapist."),
        (
            {"given": {"pain_now": 6}, "done": ()},
            {"eased": True},
            "so it stays until you have tried it: knotted band, one strand, the 75 cm mark.",
        ),
        (READY, {}, "Next time the same: knotted band, one strand, the 75 cm mark, 15 repetitions."),
        (READY, {"ready_sessions": 1}, "Next time: knotted band, one strand, the 80 cm mark."),
        ({}, {}, "Next time: 12 repetitions in each set."),
    ],
)
def test_the_reason_ends_with_what_changes(different: dict[str, Any], stood: dict[str, Any], end: str) -> None:
    assert judge(session(**different), standing(**stood)).decision.reason.endswith(end)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"sign": "hot_or_fever"}, "The shoulder is hot and swollen, or you feel feverish"),
        ({"sign": "not_sure"}, "not sure about the warning signs"),
        ({"check.band_sound": "no"}, "the band is damaged"),
        ({"check.taut_at_start": "no"}, "the band is slack at the start"),
        ({"set_1.trouble": "equipment"}, "The band or the anchor failed"),
        (BLADE, book().content.messages.form.fault["blade_pulled_back"]),
    ],
)
def test_what_decided_is_said_in_words_and_not_by_its_name_in_the_files(given: dict[str, Any], said: str) -> None:
    reason = judge(session(given=given)).decision.reason
    assert said in reason
    assert "_" not in reason


@pytest.mark.parametrize(
    ("given", "done", "numbers"),
    [
        ({"set_1.slack": "yes", "set_2.elbow": "yes"}, None, (2, 0, 0)),
        ({"set_1.elbow": "not_sure", "set_2.slack": None, "sign": None}, None, (0, 3, 0)),
        ({"set_1.elbow": "not_sure"}, (10, 10), (0, 1, 1)),
    ],
)
def test_faults_unknown_answers_and_missing_sets_are_counted(
    given: dict[str, Any], done: tuple[int, ...] | None, numbers: tuple[int, int, int]
) -> None:
    said = judge(session(given=given, done=done)).decision.numbers
    assert (said["faults"], said["not_sure"], said["missing"]) == numbers


@pytest.mark.parametrize(("days_ago", "load"), [(2, 4), (20, 2)])
def test_after_less_load_or_more_the_streak_begins_anew(days_ago: int, load: int) -> None:
    after = judge(session(goal=15), standing(days_ago=days_ago, ready_sessions=1, under_sessions=1)).after
    assert (after.load, after.ready_sessions, after.under_sessions) == (STEPS[load], 0, 0)


def test_two_strands_are_said() -> None:
    looped = [one.model_copy(update={"strands": 2}) for one in STEPS]
    assert "two strands" in judge(session(steps=looped, goal=15)).decision.reason


@pytest.mark.parametrize(
    ("different", "stood", "rule"),
    [
        (READY, {"ready_sessions": 1}, "otherwise"),
        ({"done": (9, 9, 7)}, {"under_sessions": 2}, "unclean"),
        (READY, {"ready_sessions": 1, "falls": 2, "fell_from_nm": STEPS[4].mean_nm}, "otherwise"),
    ],
)
def test_no_streak_goes_from_one_position_to_another(
    different: dict[str, Any], stood: dict[str, Any], rule: str
) -> None:
    fault: dict[str, Any] = {"clean_sets": 4, "newest_fault": "elbow_drifted"}
    judged = judge(session(position="45", **different), standing(**fault, **stood))
    assert judged.decision.rule == rule
    assert (judged.before.position, judged.before.load) == ("45", STEPS[3])
    assert (judged.before.fell_from_nm, judged.before.falls) == (None, 0)
    assert (judged.before.clean_sets, judged.before.newest_fault) == (0, None)
    assert (judged.before.ready_sessions, judged.before.under_sessions) == (0, 0)
    more = judge(session(position="45", goal=15), standing(**stood)).decision.numbers["more"]
    assert more == 1, "one more session, whatever was too much elsewhere"


def test_what_the_therapist_was_told_stays_until_they_sign() -> None:
    told = judge(session(), standing(weeks=13, tell={"pain_rising": "it rose"})).after
    assert set(told.tell) == {"pain_rising", "twelve_weeks"}
    assert apply_instruction(told, instruction("freeze_load", 1), prescription(), book()).tell == {}


def test_ending_a_review_is_when_it_was_signed_and_the_streak_begins_anew() -> None:
    word = instruction("end_review", 1)
    after = apply_instruction(standing(status="review", ready_sessions=1), word, prescription(), book())
    assert (after.status, after.looked_at, after.ready_sessions) == ("active", word.at, 0)


def test_a_load_made_easier_stays_to_be_tried_however_often_the_session_is_left() -> None:
    left = judge(session(done=()), standing(eased=True)).after
    assert left.eased
    assert judge(session(days=1, done=()), left).after.eased
    assert not judge(session(), standing(eased=True)).after.eased


@pytest.mark.parametrize(
    ("different", "stood", "fell"),
    [
        ({"given": BLADE}, {}, (STEPS[3].mean_nm, 1)),
        ({"given": BLADE}, {"falls": 1, "fell_from_nm": STEPS[3].mean_nm}, (STEPS[3].mean_nm, 2)),
        ({"given": BLADE}, {"falls": 3, "fell_from_nm": STEPS[5].mean_nm}, (STEPS[3].mean_nm, 1)),
        ({"given": BLADE, "load": 0}, {}, (None, 0)),  # nothing lighter: it did not go down
        ({}, {"days_ago": 20}, (None, 0)),  # down for the gap, and not for being too much
        (
            {"goal": 15, "given": {"check_in.settled": "not_yet"}},
            {"falls": 2, "fell_from_nm": STEPS[2].mean_nm, "ready_sessions": 1, "eased": True},
            (STEPS[2].mean_nm, 2),  # not down, and for an unsettled shoulder not mastered either
        ),
        (
            {"goal": 15, "days_ago": 0, "given": {}},
            {"falls": 1, "fell_from_nm": STEPS[3].mean_nm, "ready_sessions": 0},
            (STEPS[3].mean_nm, 1),  # once is not mastered
        ),
        (
            {"goal": 15},
            {"falls": 2, "fell_from_nm": STEPS[3].mean_nm, "ready_sessions": 1, "last_session": START - _LONG},
            (STEPS[3].mean_nm, 2),  # down for the gap: not mastered either
        ),
    ],
)
def test_how_often_a_load_was_too_much(
    different: dict[str, Any], stood: dict[str, Any], fell: tuple[float | None, int]
) -> None:
    different = {name: value for name, value in different.items() if name != "days_ago"}
    after = judge(session(**different), standing(**stood)).after
    assert (after.fell_from_nm, after.falls) == fell


def test_a_session_with_an_unsettled_shoulder_is_none_of_the_streak_even_where_the_load_was_eased_already() -> None:
    unsettled: dict[str, Any] = {"goal": 15, "given": {"check_in.settled": "not_yet"}}
    judged = judge(session(**unsettled), standing(eased=True, ready_sessions=1))
    assert (judged.decision.rule, judged.decision.move, judged.after.ready_sessions) == ("not_settled", "hold", 0)


@pytest.mark.parametrize(("weeks", "days", "said"), [(13, 0, 13), (13, 6, 13), (14, 0, 14)])
def test_the_review_says_whole_weeks(weeks: int, days: int, said: int) -> None:
    began = standing().model_copy(update={"first_session": START - timedelta(weeks=weeks, days=days)})
    assert f"{said} weeks" in judge(session(), began).decision.tell["twelve_weeks"]


@pytest.mark.parametrize("days", [0, 83])
def test_the_repair_says_whole_weeks(days: int) -> None:
    decision = judge(session(), standing(repaired_on=START.date() - timedelta(days=days))).decision
    assert (decision.numbers["weeks"], decision.numbers["limit"]) == (days // 7, 12)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("days", [1, 6, 355])
def test_before_the_day_of_a_repair_strengthening_waits_and_no_weeks_are_said(days: int, language: str) -> None:
    """It said that the operation was -51 weeks ago."""
    rules = RuleBook(load_content(content_folder(), language))
    planned = standing(repaired_on=START.date() + timedelta(days=days))
    judged = advance(planned, session(), rules)
    messages = rules.content.messages.rules.rule["after_repair"]
    assert (judged.decision.rule, judged.decision.move) == ("after_repair", "stop")
    assert str(messages.client_to_come) in judged.decision.reason
    assert judged.decision.numbers["weeks"] == "to_come"
    assert therapist_message(rules.rules_by_name["after_repair"], judged.decision.numbers, rules) == (
        messages.therapist_to_come
    )


def test_a_content_without_words_for_a_day_to_come_says_no_negative_weeks() -> None:
    rules = book()
    own = rules.content.messages.rules
    plain = own.rule["after_repair"].model_copy(update={"client_to_come": None})
    rules_only = own.model_copy(update={"rule": {**own.rule, "after_repair": plain}})
    content = replace(rules.content, messages=replace(rules.content.messages, rules=rules_only))
    decision = advance(standing(repaired_on=START.date() + timedelta(days=9)), session(), RuleBook(content)).decision
    assert "It has been 0 weeks since your operation" in decision.reason


def test_a_programme_dated_after_the_session_allows_nothing_yet() -> None:
    dated = standing(repaired_on=START.date() - timedelta(days=7), prescribed_on=START.date() + timedelta(days=365))
    assert judge(session(), dated).decision.rule == "after_repair"


def test_the_first_session_is_day_one() -> None:
    decision = judge(session(goal=15), standing(weeks=0, ready_sessions=1)).decision
    assert (decision.rule, decision.numbers["day"]) == ("familiarisation", 1)


def test_the_first_fault_that_was_too_heavy_is_the_one_said() -> None:
    both = {"set_1.range": "no", "set_1.range_often": "yes", **BLADE}
    assert judge(session(given=both)).decision.numbers["fault"] == "blade_pulled_back"


def test_unlocking_at_the_cap_is_allowed_and_above_it_is_not() -> None:
    goal = prescription(positions=("0", "45", "90"))
    capped = standing(position_cap=45)
    assert apply_instruction(capped, instruction("unlock_position", 1, position="45"), goal, book()).position == "45"
    assert apply_instruction(capped, instruction("unlock_position", 1, position="90"), goal, book()).position == "0"


def test_a_position_begins_without_clean_sets_or_faults_of_the_one_before() -> None:
    before = standing(clean_sets=4, newest_fault="elbow_drifted", ready_sessions=1, under_sessions=1, eased=True)
    there = apply_instruction(before, instruction("unlock_position", 1, position="45"), prescription(), book())
    assert (there.clean_sets, there.newest_fault, there.load, there.asked) == (0, None, None, None)
    assert (there.ready_sessions, there.under_sessions, there.eased) == (0, 0, False)


def test_capping_below_where_the_client_stands_brings_them_to_the_highest_allowed() -> None:
    goal = prescription(positions=("0", "45", "90"))
    back = apply_instruction(standing(position="90"), instruction("cap_position", 1, position="45"), goal, book())
    assert (back.position, back.position_cap, back.load, back.repetitions) == ("45", "45", None, 8)
    stays = apply_instruction(standing(position="45"), instruction("cap_position", 1, position="45"), goal, book())
    assert (stays.position, stays.load) == ("45", STEPS[3])


def test_a_freeze_has_the_last_day_that_was_signed() -> None:
    word = instruction("freeze_load", 1, until=START.date() + timedelta(days=9))
    after = apply_instruction(standing(), word, prescription(), book())
    assert (after.frozen, after.frozen_until) == (True, word.until)


def test_a_second_session_of_a_day_breaks_no_streak_and_adds_to_none() -> None:
    stood = standing(days_ago=0, ready_sessions=1, under_sessions=1)
    unclean = judge(session(goal=15, given={"set_1.slack": "yes"}), stood).after
    under = judge(session(done=(9, 9, 7)), stood).after
    assert (unclean.ready_sessions, unclean.under_sessions) == (1, 1)
    assert (under.ready_sessions, under.under_sessions) == (1, 1)


@pytest.mark.parametrize(("ready", "more"), [(0, 1), (1, 0), (3, 0)])
def test_how_many_sessions_more_is_never_below_none(ready: int, more: int) -> None:
    heaviest = session(goal=15, load=9, target_nm=9.0)
    assert judge(heaviest, standing(ready_sessions=ready)).decision.numbers["more"] == more


def test_a_session_that_holds_leaves_a_complete_programme_complete() -> None:
    judged = judge(session(given={"set_1.slack": "yes"}), standing(status="complete"))
    assert (judged.decision.move, judged.after.status) == ("hold", "complete")


def test_clean_sets_begin_anew_after_a_stop_or_less_load() -> None:
    """Two sets without a fault before the stop do not make up for it."""
    stopped = judge(session(done=(10, 10), given={"set_2.pain": 6}), standing(clean_sets=4)).after
    held = judge(session(goal=15), standing(clean_sets=4)).after
    assert (stopped.clean_sets, held.clean_sets) == (0, 7)


def test_the_last_position_is_the_last_of_several() -> None:
    """In the second of two positions, at its heaviest step, the same sessions complete the programme."""
    there: dict[str, Any] = {"goal": 15, "load": 9, "position": "45"}
    assert judge(session(**there), standing(position="45", ready_sessions=1)).decision.rule == "programme_complete"
    further = judge(session(**there, positions=("0", "45", "90")), standing(position="45", ready_sessions=1))
    assert further.decision.rule == "position_ready"


def test_a_session_with_a_check_that_stayed_a_no_is_none_of_the_streak() -> None:
    """The load was not the one computed: unknown is never good."""
    judged = judge(session(goal=15, given={"check.taut_at_start": "no"}), standing(ready_sessions=1))
    assert (judged.decision.rule, judged.after.ready_sessions) == ("check_not_met", 0)


def test_a_set_that_ended_below_the_goal_is_no_reason_for_more_repetitions() -> None:
    record = session(done=(10, 10, 10))
    fewer = [one.model_copy(update={"repetitions": 9}) if isinstance(one, SetDone) else one for one in record.entry]
    decision = judge(record.model_copy(update={"entry": tuple(fewer)})).decision
    assert (decision.rule, decision.numbers["missing"], decision.repetitions) == ("otherwise", "repetitions", 10)


@pytest.mark.parametrize(("load", "kept"), [(3, 1), (0, 4)])
def test_the_weeks_are_compared_anew_only_where_rising_pain_took_load_off(load: int, kept: int) -> None:
    pains = [{"on": START.date() - timedelta(days=days), "pain": pain} for days, pain in ((12, 1), (10, 1), (1, 5))]
    judged = judge(session(load=load, given={"pain_now": 5}), standing(load=load, pains=tuple(pains)))
    assert (judged.decision.rule, judged.decision.load) == ("pain_rising_fast", STEPS[max(load - 1, 0)])
    assert len(judged.after.pains) == kept


@pytest.mark.parametrize(("days", "kept"), [(13, 2), (14, 1)])
def test_pains_are_kept_as_long_as_the_usual_level_is_found_from_them(days: int, kept: int) -> None:
    pains = [{"on": START.date() - timedelta(days=days), "pain": 0}]
    assert len(judge(session(), standing(pains=tuple(pains))).after.pains) == kept


def test_a_cap_below_every_position_of_the_goal_moves_nobody() -> None:
    goal = prescription(positions=("45", "90"))
    stays = apply_instruction(standing(position="45"), instruction("cap_position", 1, position="0"), goal, book())
    assert (stays.position, stays.position_cap, stays.load) == ("45", "0", STEPS[3])


def test_a_line_about_a_load_names_its_torque_to_a_hundredth() -> None:
    said = load_placeholders(STEPS[0].model_copy(update={"mean_nm": 2.374, "peak_nm": 3.456}), book().content)
    assert (said["mean"], said["peak"], said["load"]) == ("2.37", "3.46", "knotted band, one strand, the 60 cm mark")

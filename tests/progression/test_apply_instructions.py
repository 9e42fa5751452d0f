"""The therapist's words: what each does, what none may do, and that the fold keeps them in order of time."""

from datetime import date, timedelta
from typing import Any

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.mechanics.ladder import NoLoadStep
from coach.model.instruction import Instruction
from coach.model.option_names import InstructionKind
from coach.model.progress import Progress
from coach.model.record import Ended
from coach.progression.apply_instructions import apply_instruction
from coach.progression.clearing import cleared_above_cap
from coach.progression.state_machine import fold
from coach.session.plan import open_record, plan_session
from tests.mechanics.clients import prescription as a_prescription
from tests.mechanics.clients import profile
from tests.progression.records import START, STEPS, book, instruction, judge, prescription, session, standing

SIGN = {"sign": "gave_way"}


def folded(records: list[Any], *signed: Instruction, positions: tuple[str, ...] = ("0", "45")) -> Progress:
    """Where the client stands by these records and words."""
    return fold(prescription(positions=positions, sign_offs=signed), records, book())[0]


def test_a_review_is_ended_by_a_word_that_comes_after_it() -> None:
    stopped = session(given=SIGN, done=())
    assert folded([stopped]).status == "review"
    assert folded([stopped], instruction("end_review", -1)).status == "review"
    assert folded([stopped], instruction("end_review", 1)).status == "active"


def test_a_word_given_while_the_session_ran_ends_no_review_that_it_brought() -> None:
    stopped = session(given=SIGN, done=())
    late = stopped.model_copy(
        update={"entry": tuple(one.model_copy(update={"at": START + timedelta(hours=1)}) for one in stopped.entry)}
    )
    assert folded([late], instruction("end_review", 0.01)).status == "review"


def test_a_review_that_was_ended_stays_ended_when_an_interrupted_record_is_closed_after_it() -> None:
    """It broke off after the answer; the therapist looked; the program closed the record when next started."""
    broken_off = session(given=SIGN, done=())
    decision = judge(broken_off).decision
    closed = broken_off.with_entry(Ended(at=START + timedelta(days=3), how="stopped", decision=decision))
    for record in (broken_off, closed):
        assert folded([record], instruction("end_review", 1)).status == "active"


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("overrule", {"repetitions": 9}),
        ("overrule", {"load": {"grade": "knotted", "strands": 1, "distance_cm": 60}}),
        ("freeze_load", {}),
        ("lift_freeze", {}),
        ("cap_range", {"position": "0", "available_deg": 40.0}),
        ("cap_position", {"position": "0"}),
        ("lift_caps", {}),
        ("allow_strengthening", {}),
    ],
)
def test_no_other_word_ends_a_review(what: InstructionKind, said: dict[str, Any]) -> None:
    assert (
        apply_instruction(standing(status="review"), instruction(what, 1, **said), prescription(), book()).status
        == "review"
    )


def test_an_unlock_ends_only_the_review_that_suggested_a_position() -> None:
    """A warning sign is looked at first: the client stands in the new position, and waits for the review to end."""
    stopped = judge(session(given={"sign": "numb_or_weak"}), standing()).after
    unlocked = apply_instruction(stopped, instruction("unlock_position", 1, position="45"), prescription(), book())
    assert stopped.decision is not None
    assert (stopped.decision.rule, unlocked.position, unlocked.status) == ("warning_sign", "45", "review")


def test_every_word_clears_what_the_therapist_was_to_be_told() -> None:
    told = standing(tell={"pain_rising": "Pain rising."})
    assert apply_instruction(told, instruction("lift_freeze", 1), prescription(), book()).tell == {}


def test_overruled_repetitions_and_load_come_next_and_streaks_begin_anew() -> None:
    ready = session(goal=15)
    step = {"grade": "knotted", "strands": 1, "distance_cm": 60}
    told = folded([ready], instruction("overrule", 1, repetitions=9, load=step))
    assert (told.repetitions, told.ready_sessions, told.load) == (9, 0, None)
    assert told.asked is not None
    assert told.asked.distance_cm == 60
    assert folded([ready], instruction("overrule", 1, repetitions=9)).load == STEPS[3]
    assert (
        folded([ready, session(days=2, load=1)], instruction("overrule", 1, repetitions=9, load=step)).asked is None
    )


def test_an_overruled_load_is_taken_from_the_ladder_or_refused() -> None:
    content = load_content(content_folder(), "en")
    client, set_by = profile(rest_m=0.75), a_prescription()
    before = Progress(exercise="external_rotation", position="0", repetitions=10)
    heavier = plan_session(client, set_by, content, before).ladder.steps[7]
    asked = {"grade": heavier.grade, "strands": heavier.strands, "distance_cm": heavier.distance_cm}
    told = apply_instruction(before, instruction("overrule", 1, load=asked), set_by, book())
    assert plan_session(client, set_by, content, told).step == heavier
    beyond = apply_instruction(before, instruction("overrule", 1, load={**asked, "distance_cm": 900}), set_by, book())
    with pytest.raises(NoLoadStep, match="no load step at 0 degrees"):
        plan_session(client, set_by, content, beyond)


def test_a_range_cap_shortens_the_arc_and_is_lifted() -> None:
    content = load_content(content_folder(), "en")
    client, set_by = profile(rest_m=0.75), a_prescription()
    before = Progress(exercise="external_rotation", position="0", repetitions=10)
    capped = apply_instruction(before, instruction("cap_range", 1, position="0", available_deg=40.0), set_by, book())
    other = apply_instruction(before, instruction("cap_range", 1, position="45", available_deg=40.0), set_by, book())
    wide = apply_instruction(before, instruction("cap_range", 1, position="0", available_deg=120.0), set_by, book())
    lifted = apply_instruction(capped, instruction("lift_caps", 2), set_by, book())
    whole = plan_session(client, set_by, content, before)
    assert plan_session(client, set_by, content, capped).profile.available_deg("0", "external") == 40.0
    for same in (other, wide, lifted):
        assert plan_session(client, set_by, content, same).ladder == whole.ladder
    again = apply_instruction(capped, instruction("cap_range", 2, position="0", available_deg=50.0), set_by, book())
    assert [cap.available_deg for cap in again.range_caps] == [50.0]


def test_a_position_cap_takes_the_client_down_to_the_highest_position_it_allows() -> None:
    set_by = prescription(positions=("0", "45", "90"))
    at_90 = standing(position="90")
    for cap, position in (("90", "90"), ("60", "45"), ("45", "45"), ("0", "0")):
        assert (
            apply_instruction(at_90, instruction("cap_position", 1, position=cap), set_by, book()).position
            == position
        )
    down = apply_instruction(at_90, instruction("cap_position", 1, position="45"), set_by, book())
    assert (down.load, down.repetitions, down.status) == (None, 8, "active")
    assert apply_instruction(down, instruction("lift_caps", 2), set_by, book()).position_cap is None


def test_a_record_from_another_position_moves_nothing_in_this_one() -> None:
    """A session that was under way while the next position was unlocked ends in the old one."""
    unlock = instruction("unlock_position", -0.1, position="45")
    after = folded([session(goal=10)], unlock)
    assert (after.position, after.load, after.repetitions, after.sessions) == ("45", None, 8, 1)
    assert folded([session(given=SIGN)], unlock).status == "review"


def test_a_freeze_ends_on_its_day_or_when_it_is_lifted() -> None:
    ready = [session(days=day, goal=15) for day in (20, 22)]
    first, signed = [session(days=0), session(days=12)], instruction("freeze_load", 1)

    def load(*signs: Instruction) -> object:
        return folded([*first, *ready], *signs).load

    assert load(signed) == STEPS[3]
    assert load(signed, instruction("lift_freeze", 2)) == STEPS[4]
    assert load(instruction("freeze_load", 1, until=START.date() + timedelta(days=22))) == STEPS[3]
    assert load(instruction("freeze_load", 1, until=START.date() + timedelta(days=21))) == STEPS[4]


def test_after_a_repair_the_word_is_needed() -> None:
    """After cuff repair no strengthening before week 12 without the surgeon's or therapist's word: ASSET consensus,
    Thigpen CA et al., J Shoulder Elbow Surg 2016;25:521 (abstract)."""
    repaired = prescription().model_copy(update={"repaired_on": START.date() - timedelta(weeks=6)})
    progress, judged = fold(repaired, [session()], book())
    assert (judged[0].decision.rule, progress.status) == ("after_repair", "review")
    allowed = repaired.model_copy(update={"sign_offs": (instruction("allow_strengthening", -1),)})
    assert fold(allowed, [session()], book())[1][0].decision.rule == "repetitions_up"


def noted(repaired_on: date | None, days: float, was: date | None = None) -> Instruction:
    """The day of a repair is changed, so many days after the start."""
    values = {"was": was and was.isoformat(), "now": repaired_on and repaired_on.isoformat()}
    return instruction("change", days, changed=[{"key": "repaired_on", **values}])


_FIRST, _SECOND = START.date() - timedelta(days=10), START.date() - timedelta(days=2)


@pytest.mark.parametrize(
    ("signed", "opens"),
    [
        ([noted(_FIRST, -3)], False),
        ([noted(_FIRST, -3), instruction("allow_strengthening", -2)], True),
        ([noted(_FIRST, -3), instruction("allow_strengthening", -2), noted(_SECOND, -1, _FIRST)], False),
        (
            [
                noted(_FIRST, -3),
                instruction("allow_strengthening", -2),
                noted(_SECOND, -1, _FIRST),
                instruction("allow_strengthening", -0.5),
            ],
            True,
        ),
        ([instruction("allow_strengthening", -2), noted(_SECOND, -1)], False),
        ([instruction("allow_strengthening", -2), instruction("change", -1, changed=[{"key": "goal"}])], True),
    ],
)
def test_strengthening_is_allowed_for_the_repair_that_was_noted_then(signed: list[Instruction], opens: bool) -> None:
    """It stayed open for an operation that was noted after the permission."""
    now = _SECOND if any("repaired_on" in str(one.changed) and one.changed[0].was for one in signed) else _FIRST
    repaired = prescription(sign_offs=tuple(signed)).model_copy(update={"repaired_on": now})
    rule = fold(repaired, [session()], book())[1][0].decision.rule
    assert rule == ("repetitions_up" if opens else "after_repair")


def test_what_was_allowed_before_the_day_of_a_repair_allows_nothing_after_it() -> None:
    """Whoever edits the programme by hand signs no change."""
    for days, opens in ((1, False), (0, True), (-1, True)):
        day = START.date() - timedelta(days=5) + timedelta(days=days)
        allowed = prescription(sign_offs=(instruction("allow_strengthening", -5),))
        repaired = allowed.model_copy(update={"repaired_on": day})
        assert (fold(repaired, [session()], book())[1][0].decision.rule == "repetitions_up") is opens


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"what": "unlock_position"}, "needs position"),
        ({"what": "end_review", "position": "45"}, "position does not go with"),
        ({"what": "overrule"}, "needs load or repetitions"),
        ({"what": "cap_range", "position": "0"}, "needs available_deg"),
        ({"what": "lift_freeze", "until": date(2026, 5, 1)}, "until does not go with"),
        ({"what": "freeze_load", "repetitions": 9}, "repetitions does not go with"),
    ],
)
def test_a_word_says_what_belongs_to_it(said: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        instruction(days=1, **said)


@pytest.mark.parametrize(
    ("signed", "message"),
    [
        ([("overrule", 1, {"repetitions": 16})], "outside the dose's own 8 to 15"),
        ([("overrule", 1, {"repetitions": 7})], "outside the dose's own 8 to 15"),
    ],
)
def test_no_word_goes_past_the_hard_bounds(
    signed: list[tuple[InstructionKind, float, dict[str, Any]]], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        prescription(sign_offs=tuple(instruction(what, days, **said) for what, days, said in signed))


def test_a_position_above_the_cap_is_not_cleared() -> None:
    signed = instruction("cap_position", 1, position="0"), instruction("unlock_position", 2, position="45")
    assert folded([], *signed).position == "0"
    (above,) = cleared_above_cap(prescription(sign_offs=signed), book().content.exercise("external_rotation"))
    assert above == (signed[1], "0")


def test_a_cap_that_was_lifted_lets_a_position_be_unlocked() -> None:
    signed = (
        instruction("unlock_position", 3, position="45"),
        instruction("lift_caps", 2),
        instruction("cap_position", 1, position="0"),
    )
    assert folded([], *signed).position == "45"


def test_the_record_says_the_goal_and_the_target_of_its_day() -> None:
    content = load_content(content_folder(), "en")
    values = {**a_prescription().model_dump(), "targets": ({"position": "0", "mean_nm": 3.5},)}
    set_by = type(a_prescription()).model_validate(values)
    before = Progress(exercise="external_rotation", position="0", repetitions=10)
    record = open_record(plan_session(profile(rest_m=0.75), set_by, content, before), START)
    assert (record.positions, record.target_nm) == (set_by.positions, 3.5)


@pytest.mark.parametrize("what", ["unlock_position", "overrule"])
def test_a_position_or_an_overruled_load_begins_without_a_past(what: InstructionKind) -> None:
    said: dict[str, Any] = {"position": "45"} if what == "unlock_position" else {"repetitions": 9}
    past = standing(falls=2, fell_from_nm=2.0, ready_sessions=1, under_sessions=2, eased=True)
    after = apply_instruction(past, instruction(what, 1, **said), prescription(), book())
    assert (after.falls, after.fell_from_nm, after.ready_sessions, after.under_sessions) == (0, None, 0, 0)
    assert not after.eased

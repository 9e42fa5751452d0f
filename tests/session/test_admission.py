"""One place says whether a session may start, and conditions, gaps and reviews are all known to it."""

from datetime import timedelta
from typing import Any

import pytest

from coach.model.condition import ClientCondition, Irritability
from coach.model.instruction import Instruction
from coach.model.prescription import BadDay
from coach.model.record import Decision
from coach.progression.apply_instructions import apply_instruction
from coach.session.admission.admit import Admission, admit
from coach.session.admission.bad_day import bad_day_lines, bad_day_plan
from coach.session.plan import Plan, open_record, plan_session
from tests.clocks import START
from tests.plans import plan_of

_BAD_DAY = BadDay(
    may_do="movement",
    soreness="a dull ache for a day",
    again="in two days",
    ring="the clinic",
    answered="the same day",
)


def _plan(position: str = "0") -> Plan:
    """The plan of a demo client who has not begun, at a position."""
    plan = plan_of("tern")
    before = plan.before.model_copy(update={"position": position, "load": None, "status": "active"})
    return plan_session(plan.profile, plan.prescription, plan.content, before)


def condition(kind: str, days_ago: int = 35) -> ClientCondition:
    """A condition of a client, so many days old."""
    return ClientCondition(kind=kind, on=START.date() - timedelta(days=days_ago), by="letter of the hospital")


def admitted(plan: Plan, *conditions: ClientCondition, **before: Any) -> Admission:
    """Whether the client of a plan may start, with these conditions and this standing."""
    profile = plan.profile.model_copy(update={"condition": conditions})
    progress = plan.before.model_copy(update=before)
    return admit(profile, plan.prescription, plan.content, progress, START)


def test_a_client_without_conditions_may_start() -> None:
    found = admitted(_plan())
    assert (found.may_start, found.sentence) == (True, "")
    assert found.plan is not None


@pytest.mark.parametrize("kind", ["stabilisation", "cuff_repair", "joint_replacement", "subscapularis_repair"])
@pytest.mark.parametrize("days_ago", [35, 700])
def test_after_an_operation_only_the_signed_instruction_opens_strengthening(kind: str, days_ago: int) -> None:
    """Weeks are a floor, never a permission."""
    plan, before = _plan(), _plan().before
    assert admitted(plan, condition(kind, days_ago)).obstacle == "condition"
    for signed_days_ago, opens in ((days_ago + 1, False), (days_ago - 1, True)):
        at = START - timedelta(days=signed_days_ago)
        word = Instruction(at=at, initials="AB", what="allow_strengthening", reason="surgeon's protocol")
        after = apply_instruction(before, word, plan.prescription, plan.book)
        assert admitted(plan, condition(kind, days_ago), **after.model_dump()).may_start == opens


@pytest.mark.parametrize("kind", ["stabilisation", "cuff_repair", "joint_replacement", "subscapularis_repair"])
def test_before_the_day_of_an_operation_it_waits_and_no_weeks_are_said(kind: str) -> None:
    found = admitted(_plan(), condition(kind, -20))
    assert found.obstacle == "condition"
    assert "is still to come" in found.sentence
    assert "weeks" not in found.sentence
    assert not admitted(_plan(), condition(kind, -20), strengthening_allowed_on=START.date()).may_start


@pytest.mark.parametrize("kind", ["instability", "stabilisation"])
def test_ninety_degrees_need_a_finding_where_the_shoulder_can_slip(kind: str) -> None:
    plan = _plan("90")
    allowed = {"strengthening_allowed_on": START.date()}
    assert admitted(plan, condition(kind), **allowed).obstacle == "condition"
    tested = plan.before.model_validate(
        {**plan.before.model_dump(), "cleared": ({"position": "90", "tested": True},)}
    ).cleared
    assert admitted(plan, condition(kind), cleared=tested, **allowed).may_start


def test_latex_leaves_only_bands_known_to_be_free_of_it() -> None:
    plan = _plan()
    assert admitted(plan, condition("latex_allergy")).obstacle == "condition"
    free, *others = plan.profile.bands
    profile = plan.profile.model_copy(
        update={
            "condition": (condition("latex_allergy"),),
            "bands": (free.model_copy(update={"latex_free": True}), *others),
        }
    )
    computed = plan.prescription.model_copy(update={"first_step": None})
    planned = plan_session(profile, computed, plan.content, plan.before)
    assert {step.grade for step in planned.ladder.steps} == {free.name}


def test_a_range_cap_of_a_condition_shortens_the_arc() -> None:
    plan = _plan()
    profile = plan.profile.model_copy(update={"condition": (condition("subscapularis_repair"),)})
    planned = plan_session(profile, plan.prescription, plan.content, plan.before)
    assert planned.profile.available_deg("0", "external") == 30


@pytest.mark.parametrize(("days_ago", "held"), [(13, "injection"), (14, None)])
def test_after_an_injection_nothing_rises_for_its_days(days_ago: int, held: str | None) -> None:
    plan = _plan()
    profile = plan.profile.model_copy(update={"condition": (condition("injection", days_ago),)})
    planned = plan_session(profile, plan.prescription, plan.content, plan.before)
    assert open_record(planned, START).held_by == held


def test_high_irritability_lets_nothing_rise() -> None:
    plan = _plan()
    high = Irritability(level="high", on=START.date(), by="AB")
    planned = plan_session(
        plan.profile.model_copy(update={"irritability": high}), plan.prescription, plan.content, plan.before
    )
    assert open_record(planned, START).held_by == "high_irritability"


def test_a_gap_of_nine_weeks_is_known_before_the_check_in() -> None:
    """The preview, the handout and the session say the same."""
    found = admitted(_plan(), last_session=START - timedelta(days=69), first_session=START - timedelta(days=99))
    assert found.obstacle == "rule"
    assert "measures again" in found.sentence


def test_without_any_load_the_files_are_to_be_changed() -> None:
    plan = _plan()
    nowhere = plan.profile.home.model_copy(update={"nearest_cm": 499, "farthest_cm": 500})
    profile = plan.profile.model_copy(update={"home": nowhere})
    found = admit(profile, plan.prescription, plan.content, plan.before, START)
    assert (found.plan, found.obstacle) == (None, "load")
    assert found.sentence


def decision(plan: Plan, **changed: Any) -> Decision:
    """A stop for pain, and what is different from it."""
    values: dict[str, Any] = {"move": "stop", "rule": "pain_over_limit", "reason": "pain", "source": "ours"}
    values |= {"load": plan.step, "repetitions": 8, "status": "paused", **changed}
    return Decision.model_validate(values)


def test_a_bad_day_is_said_after_a_stop_and_in_review_and_never_after_a_warning_sign() -> None:
    plan = _plan()
    prescription = plan.prescription.model_copy(update={"bad_day": _BAD_DAY})

    def said(**changed: Any) -> tuple[str, ...]:
        return bad_day_lines(prescription, decision(plan, **changed), plan.content)

    assert len(said()) == 4
    assert said() == bad_day_plan(prescription, plan.content) == said(move="hold", status="review")
    assert said(move="hold", status="active") == ()
    assert said(rule="warning_sign", status="review", numbers={"sign": "lump"}) == ()
    assert bad_day_plan(plan.prescription, plan.content) == ()


def test_the_bad_day_stands_in_the_closed_start() -> None:
    plan = _plan()
    prescription = plan.prescription.model_copy(update={"bad_day": _BAD_DAY})
    progress = plan.before.model_copy(update={"status": "review", "decision": decision(plan, status="review")})
    found = admit(plan.profile, prescription, plan.content, progress, START)
    assert found.obstacle == "review"
    assert "the clinic" in found.sentence

"""A pain that was reported and taken back, and a long gap, on the way that a client goes through the session."""

from datetime import timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from coach.model.answers_file import Answers
from coach.model.record import LoadChanged
from coach.progression.state_machine import advance
from coach.session.interruptions import report_trouble
from coach.session.plan import Plan, goal_on
from coach.session.rehearsal import first_state, rehearse, rehearsed_states
from coach.session.runner import answer, back, go_on
from coach.session.script import Work
from coach.session.state import Instant
from tests.clocks import START
from tests.plans import plan_of


def stood(**changed: Any) -> Plan:
    """A client of some weeks, one clean session away from more load."""
    plan = plan_of("tern")
    top = plan.prescription.dose.repetitions_max
    values = {"repetitions": top, "ready_sessions": 1, "sessions": 12, "load": plan.step}
    values |= {"first_session": START - timedelta(days=90), "last_session": START - timedelta(days=2), **changed}
    return replace(plan, before=plan.before.model_copy(update=values))


def test_a_sharp_pain_taken_back_ends_in_no_rise() -> None:
    """`p`, sharp, back, back, Enter: once this session ended in a rise of the load."""
    plan, answers = stood(), Answers(answer={})
    for state in rehearsed_states(first_state(plan, START), answers):
        if isinstance(state.step, Work):
            break
    now = Instant(state.seen_s, START)
    asked = report_trouble(state, now)
    named = answer(asked, "sharp", now)
    left = go_on(back(back(named, now), now), now)
    assert left.asking is None
    for state in rehearsed_states(left, answers):
        if state.over:
            break
    ended = state.record.ended
    assert ended is not None
    assert (ended.decision.rule, ended.decision.load) == ("pain_not_said", plan.step)
    assert rehearse(plan, answers, START)[1].decision.rule in ("load_up", "position_ready")


@pytest.mark.parametrize(("days", "share", "bottom"), [(15, 0.9, False), (29, 0.8, True), (56, 0.8, True)])
def test_the_load_goes_down_by_the_length_of_a_gap(days: int, share: float, bottom: bool) -> None:
    base = plan_of("tern")
    plan = stood(last_session=START - timedelta(days=days), load=base.ladder.steps[-1])
    plan = replace(plan, step=base.ladder.steps[-1])
    record, ended = rehearse(plan, Answers(answer={}), START)
    lowered = [one for one in record.entry if isinstance(one, LoadChanged)]
    assert [one.rule for one in lowered] == ["long_gap"]
    assert lowered[0].rungs.step.mean_nm <= share * plan.step.mean_nm
    assert ended.decision.load == lowered[0].rungs.step
    dose = plan.prescription.dose
    assert goal_on(plan, START) == (dose.repetitions_min if bottom else dose.repetitions_max)


@pytest.mark.parametrize("reason", ["fall", "operation", "injection"])
def test_an_event_in_a_gap_ends_in_review(reason: str) -> None:
    plan = stood(last_session=START - timedelta(days=20))
    record, ended = rehearse(plan, Answers(answer={"gap": reason}), START)
    assert (ended.decision.rule, ended.decision.status) == ("event_in_gap", "review")
    assert advance(plan.before, record, plan.book).after.status == "review"

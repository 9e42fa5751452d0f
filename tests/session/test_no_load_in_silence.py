"""Loads that were once given in silence: above strength, past 10 %, off the ladder, outward, or of nothing.

Each asks the whole way from files to the session's plan, and failed on the first version of this program.
"""

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from msgspec.structs import replace

from coach.mechanics.ladder import NoLoadStep
from coach.mechanics.setup import setup_for
from coach.model.answers_file import Answers
from coach.model.load_step import ChosenStep
from coach.model.prescription import Prescription
from coach.model.profile import AvailableRange, Profile, Strength
from coach.model.progress import Progress
from coach.progression.state_machine import advance
from coach.session.plan import Plan, plan_session
from coach.session.rehearsal import rehearse
from tests.mechanics.clients import prescription, profile, three_grades
from tests.plans import plan_of, shipped
from tests.progression.records import START

FIRST = Progress(exercise="external_rotation", position="0", repetitions=8)


def _plan(client: Profile, plan: Prescription | None = None, before: Progress = FIRST) -> Plan:
    return plan_session(client, plan or prescription(), shipped(), before)


def _measured(strength_nm: float) -> Profile:
    """A client whose strength was measured at the side, with three bands of which the lightest is strong."""
    strength = Strength(position="0", force_n=strength_nm / 0.25, lever_m=0.25, on=date(2026, 3, 2))
    return profile(bands=three_grades(0.75)[2:], strengths=(strength,))


@pytest.mark.parametrize("position", ["0", "45"])
def test_a_client_of_3_1_nm_is_not_started_above_the_share_nor_let_on_to_it_elsewhere(position: str) -> None:
    before = FIRST.model_copy(update={"position": position})
    with pytest.raises(NoLoadStep, match=r"40 % of the measured 3\.1 Nm"):
        _plan(_measured(3.1), before=before)
    assert _plan(_measured(60.0), before=before).step.peak_nm <= 0.4 * 60.0


def _lived(plan: Plan, sessions: int) -> Iterator[Plan]:
    """Clean sessions one after another, at effort 1 of 10 with two in reserve."""
    for number in range(sessions):
        record, _ = rehearse(plan, Answers(answer={"effort": 1}), START + timedelta(days=2 * number))
        progress = advance(plan.before, record, plan.book).after
        if progress.status == "active":
            plan = _plan(plan.profile, plan.prescription, progress)
            yield plan
        else:
            assert progress.status == "review", "the programme was complete, at a load that nobody had set"
            return


def test_one_mark_and_two_bands_make_no_leap_and_no_complete_programme() -> None:
    """The load went up by 162 %, and then it was said that the programme was complete."""
    light, _, heavy = three_grades(0.75)
    client = profile(bands=(light, heavy), nearest_cm=80, farthest_cm=80)
    only = prescription().model_copy(update={"positions": ("0",)})
    plan = _plan(client, only)
    assert len(plan.ladder.steps) == 2
    assert plan.ladder.steps[1].mean_nm > 1.1 * plan.ladder.steps[0].mean_nm
    lived = list(_lived(plan, 30))
    assert len(lived) > 10
    assert {later.step.grade for later in lived} == {plan.step.grade}


def test_a_first_step_that_is_on_no_ladder_is_not_replaced() -> None:
    off = ChosenStep(grade="light", strands=1, distance_cm=83)
    with pytest.raises(NoLoadStep, match="at 83 cm"):
        _plan(profile(rest_m=0.75), prescription(first_step=off))


@pytest.mark.parametrize("range_deg", [77, 95, 110])
def test_no_load_step_pushes_the_arm_outward_or_goes_slack_on_the_arc(range_deg: int) -> None:
    """Beyond 90 degrees the band pushed the arm on in the hold, and nothing said so."""
    measured = AvailableRange(position="0", available_deg=range_deg, on=date(2026, 3, 2))
    try:
        plan = _plan(profile(rest_m=0.75, ranges=(measured,)))
    except NoLoadStep as refused:
        why = str(refused)
    else:
        _keeps_a_load(plan)
        return
    assert "degrees of rotation the band pulls the arm along" in why


def _keeps_a_load(plan: Plan) -> None:
    """Every load step is taut and leaves something to resist at every degree of the arc, the hold included."""
    for step in plan.ladder.steps:
        arc = setup_for(plan.profile, plan.prescription, plan.position, step, plan.limits).arc
        assert min(arc.torque_nm) > 0
        assert min(arc.elongation) >= plan.limits["taut_at_start"]


@pytest.mark.parametrize("body_turn_deg", [0, 90, 135, 180])
def test_no_exercise_has_a_load_of_nothing(body_turn_deg: int) -> None:
    """One made from the guide had a mean of 0.00 Nm and a next step of 1820 %."""
    tern = plan_of("tern")
    exercise = shipped().exercise("external_rotation")
    turned = tuple(
        one.model_copy(update={"body_turn_deg": float(body_turn_deg), "arc_start_deg": -30.0})
        for one in exercise.positions
    )
    exercises = {**shipped().exercises, exercise.name: exercise.model_copy(update={"positions": turned})}
    content = replace(shipped(), exercises=exercises)
    try:
        plan = plan_session(tern.profile, tern.prescription, content, tern.before)
    except NoLoadStep:
        return
    least_nm = min(step.mean_nm for step in plan.ladder.steps)
    assert least_nm > 0.1
    _keeps_a_load(plan)

"""The first step, the share of measured strength, and the target that it proposes."""

from datetime import date

import pytest

from coach.mechanics.first_step import (
    AboveStrength,
    allowed_peak_nm,
    first_step,
    lowest_step,
    propose_target_nm,
    refuse_above_strength,
)
from coach.mechanics.ladder import Ladder, build_ladder, rungs
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.profile import Strength
from tests.mechanics.clients import (
    AT_0,
    AT_45,
    AT_90,
    DAY,
    INTERNAL_AT_0,
    LIMITS,
    exact_ladder,
    prescription,
    profile,
)

PLAN = prescription()


def _strong(strength_nm: float, on: date = DAY) -> Strength:
    return Strength(position="0", force_n=strength_nm / 0.25, lever_m=0.25, on=on)


def _ladder(*means_nm: float) -> Ladder:
    steps = (
        LoadStep(grade="light", strands=1, distance_cm=100 + number, mean_nm=mean_nm, peak_nm=mean_nm * 1.5)
        for number, mean_nm in enumerate(means_nm)
    )
    return exact_ladder(*steps)


def test_the_first_step_from_the_newest_strength_peaks_between_10_and_40_percent_of_it() -> None:
    """Bitter NL et al., J Shoulder Elbow Surg 2007 (abstract); the lowest such step is our choice."""
    client = profile(strengths=(_strong(5.0, date(2025, 1, 1)), _strong(40.0), _strong(9.0, date(2025, 6, 1))))
    ladder = build_ladder(client, PLAN, AT_0, LIMITS)
    found = first_step(ladder, client, PLAN, AT_0, LIMITS)
    assert 4.0 <= found.peak_nm <= 16.0
    lower = [step for step in ladder.steps if step.mean_nm < found.mean_nm and step.peak_nm >= 4.0]
    assert all(rungs(ladder, step).next_step is None for step in lower)
    assert rungs(ladder, found).next_step is not None
    assert found != ladder.steps[0]


def test_unmeasured_strength_begins_with_the_lowest_and_proposes_no_target() -> None:
    client = profile()
    ladder = build_ladder(client, PLAN, AT_0, LIMITS)
    assert first_step(ladder, client, PLAN, AT_0, LIMITS) == ladder.steps[0]
    assert propose_target_nm(ladder, client, PLAN, AT_0, LIMITS) is None
    assert allowed_peak_nm(client, PLAN, AT_0, LIMITS) is None


def test_with_no_step_inside_the_window_the_nearest_below_it_is_taken() -> None:
    client = profile(strengths=(_strong(20.0),))  # a window of 2 to 8 Nm
    assert first_step(_ladder(0.5, 1.0, 6.0), client, PLAN, AT_0, LIMITS).mean_nm == 1.0
    strong = profile(strengths=(_strong(120.0),))
    assert first_step(_ladder(0.5, 1.0, 6.0), strong, PLAN, AT_0, LIMITS).mean_nm == 6.0


def test_a_client_measured_at_3_1_nm_is_not_started_at_4_3() -> None:
    """They were, in silence, because no step fitted the window and the lowest of the ladder was taken."""
    weak = profile(strengths=(_strong(3.1),))
    for begin in (first_step, lowest_step):
        with pytest.raises(AboveStrength, match=r"reaches 6\.45 Nm, above 40 % of the measured 3\.1 Nm: add a light"):
            begin(_ladder(4.3, 4.6), weak, PLAN, AT_0, LIMITS)


def test_nor_let_on_to_more_in_a_position_that_was_not_measured() -> None:
    weak = profile(strengths=(_strong(3.1),))
    assert allowed_peak_nm(weak, PLAN, AT_90, LIMITS) == pytest.approx(0.4 * 3.1)
    with pytest.raises(AboveStrength):
        lowest_step(build_ladder(weak, PLAN, AT_90, LIMITS), weak, PLAN, AT_90, LIMITS)
    assert allowed_peak_nm(weak, PLAN, INTERNAL_AT_0, LIMITS) is None  # the other direction says nothing


def test_an_overruling_load_above_the_share_names_the_share() -> None:
    client = profile(strengths=(_strong(10.0),))
    (step,) = _ladder(4.0).steps  # a peak of 6 Nm, 60 % of the strength
    with pytest.raises(AboveStrength, match=r"overrule with a share of 0\.60"):
        refuse_above_strength(step, None, client, PLAN, AT_0, LIMITS)
    with pytest.raises(AboveStrength):
        refuse_above_strength(step, 0.59, client, PLAN, AT_0, LIMITS)
    refuse_above_strength(step, 0.60, client, PLAN, AT_0, LIMITS)
    refuse_above_strength(step, None, profile(), PLAN, AT_0, LIMITS)
    strength = PLAN.model_copy(update={"aim": "strength"})
    refuse_above_strength(step, None, client, strength, AT_0, LIMITS)


@pytest.mark.parametrize(("strength", "named"), [(6.01, "1.00"), (6.0, "1.00"), (5.99, None), (0.3, None)])
def test_no_share_is_recommended_that_an_instruction_would_not_take(strength: float, named: str | None) -> None:
    (step,) = _ladder(4.0).steps  # a peak of 6 Nm
    with pytest.raises(AboveStrength) as refused:
        refuse_above_strength(step, None, profile(strengths=(_strong(strength),)), PLAN, AT_0, LIMITS)
    said = str(refused.value)
    assert ("overrule with a share" in said) == (named is not None)
    if named is None:
        assert "measure it again, choose a lighter step, or add a lighter band" in said
    else:
        assert f"a share of {named} and" in said
        ChosenStep(grade="striped", strands=1, distance_cm=80, share=float(named))


def test_the_target_is_proposed_from_strength_and_aim_and_is_within_reach() -> None:
    client = profile(strengths=(_strong(20.0),))
    ladder = _ladder(*(0.5 * number for number in range(1, 30)))
    strength = PLAN.model_copy(update={"aim": "strength"})
    assert propose_target_nm(ladder, client, PLAN, AT_0, LIMITS) == 5.0
    assert propose_target_nm(ladder, client, strength, AT_0, LIMITS) == 8.0
    assert propose_target_nm(_ladder(1.0, 2.0), client, PLAN, AT_0, LIMITS) == 2.0
    assert propose_target_nm(ladder, client, PLAN, AT_45, LIMITS) is None

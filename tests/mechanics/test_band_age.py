"""What the use of a band since it was measured adds to the spread of its load steps."""

import math

import pytest

from coach.mechanics.anchor_placement import place_anchor
from coach.mechanics.band_uncertainty import age_uncertainty
from coach.mechanics.ladder import Ladder, build_ladder, rungs
from coach.mechanics.load_uncertainty import COVERAGE
from coach.mechanics.torque import arc_at
from coach.model.load_step import LoadStep
from coach.model.profile import Profile
from tests.mechanics.clients import AT_90, LIMITS, prescription, profile, three_grades

PLAN = prescription()
WORN = {"light": 2000.0, "medium": 2000.0}


def _ladder(client: Profile, used: dict[str, float]) -> Ladder:
    return build_ladder(client, PLAN, AT_90, LIMITS, used)


def _pair(same: bool) -> tuple[Profile, LoadStep, LoadStep]:
    """A step, and the nearest heavier one on its band, or on another."""
    client = profile()
    steps = _ladder(client, {}).steps
    step = next(one for one in steps if one.grade == "light")
    heavier = [one for one in steps if one.mean_nm > step.mean_nm * 1.02 and one.grade in WORN]
    return client, step, next(one for one in heavier if (one.grade == step.grade) == same)


def test_the_spread_from_use_is_what_tubing_lost() -> None:
    """9.5 % after 1000 and 15.5 % after 3000 cycles to twice the length, of tubing and not of flat band: de Paula LV
    et al., Rev Port Cien Desp 2017;17(4) (abstract; which of its figures belongs to which count is not said there).
    A loss anywhere from none to 9.5 %, not corrected for, has the standard uncertainty 0.095 / sqrt(3): JCGM
    100:2008, 4.3.7 and F.2.4.5 (memory)."""
    assert age_uncertainty(1000, LIMITS) == pytest.approx(0.095 / math.sqrt(3), abs=5e-4)
    assert COVERAGE * age_uncertainty(3000, LIMITS) == pytest.approx(0.155, abs=5e-3)
    assert age_uncertainty(0, LIMITS) == 0


def test_the_part_from_use_is_that_of_the_torque_of_the_band_alone() -> None:
    client, step, _ = _pair(True)
    anchor = place_anchor(client, PLAN, AT_90, LIMITS).anchor
    arc = arc_at(client, AT_90, step, step.distance_cm, anchor)
    band_nm = arc.mean_nm - math.fsum((*arc.arm_nm[1:-1], arc.arm_nm[0] / 2, arc.arm_nm[-1] / 2)) / (len(arc.q) - 1)
    part = _ladder(client, WORN).comparison.contributions(step).by_input["age"]
    assert part == pytest.approx(age_uncertainty(2000, LIMITS) * band_nm, rel=1e-3)


@pytest.mark.parametrize("points", [4, 1])
def test_a_used_band_has_wider_steps(points: int) -> None:
    """Also where one point alone was measured, whose law is drawn."""
    bands = tuple(band.model_copy(update={"points": band.points[:points]}) for band in three_grades(1.0))
    client = profile(bands=bands)
    for new, used in zip(_ladder(client, {}).steps, _ladder(client, WORN).steps, strict=True):
        assert new.low_nm is not None
        assert new.high_nm is not None
        assert used.low_nm is not None
        assert used.high_nm is not None
        if new.grade in WORN:
            assert used.high_nm - used.low_nm > new.high_nm - new.low_nm
        else:
            assert (used.low_nm, used.high_nm) == (new.low_nm, new.high_nm)
    step = next(one for one in _ladder(client, {}).steps if one.grade == "light")
    widths = []
    for used_by in ({}, WORN):
        low, high = _ladder(client, used_by).comparison.torque_interval_nm(step)
        widths.append(high[-1] - low[-1])
    assert widths[1] > widths[0]


def test_use_is_one_error_of_all_steps_of_a_band_and_its_own_of_another() -> None:
    """Two steps of one band keep their order whatever the band has lost; steps of two bands may not."""
    for same in (True, False):
        client, step, other = _pair(same)
        new, used = (_ladder(client, used).comparison.chance_heavier(other, step) for used in ({}, {"light": 9000.0}))
        assert new > 0.55
        assert (abs(new - used) < 0.01) if same else (used < new - 0.02)


def test_the_neighbours_of_a_step_say_how_far_it_stretches_its_band() -> None:
    ladder = _ladder(profile(), {})
    for step in ladder.steps[::10]:
        stretched = rungs(ladder, step).elongation
        assert stretched == round(max(ladder.comparison.arc(step).elongation), 2)

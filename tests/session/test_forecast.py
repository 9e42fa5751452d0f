"""Virtual lives go through the very same rules, and the same seed gives the same life."""

from datetime import timedelta
from random import Random
from typing import Any, cast

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.profile import Strength
from coach.model.progress import Progress
from coach.reports.text.forecast import fan, forecast_text
from coach.session.plan import Plan, plan_session
from coach.session.session_cache import SessionCache
from coach.session.simulation.forecast import SimulatedSession, simulate_sessions
from coach.session.simulation.virtual_client import VirtualClient, clean_repetitions, normal
from tests.mechanics.clients import prescription, profile
from tests.progression.records import START


def plan() -> Plan:
    """A client before the first session."""
    before = Progress(exercise="external_rotation", position="0", repetitions=8)
    return plan_session(profile(rest_m=0.75), prescription(), load_content(content_folder(), "en"), before)


def life(seed: int, **client: float) -> list[SimulatedSession]:
    """Six weeks of a virtual client whose strength is given as a multiple of the first load."""
    today = plan()
    values = {"strength_nm": 1.7, **client}
    values["strength_nm"] *= today.step.mean_nm
    assumed = replace(VirtualClient.assumed(1.0, 2.0, today.limits), **cast("Any", values))
    return list(simulate_sessions(today, assumed, 6, Random(seed).random, START, SessionCache()))


LIMITS = load_content(content_folder(), "en").limit_values({})
STEADY = {"variation": 0.0, "fault": 0.0, "fault_at_last": 0.0, "unsettled": 0.0, "missed": 0.0, "away": 0.0}
CERTAIN = {**STEADY, "usual_pain": 0.0, "pain_deviation": 0.0, "flare": 0.0, "flare_over": 0.0}


def virtual(**values: float) -> VirtualClient:
    """A client as assumed, with some values changed."""
    return replace(VirtualClient.assumed(10.0, 2.0, LIMITS), **cast("Any", values))


def test_the_same_seed_gives_the_same_life_and_another_seed_another() -> None:
    assert life(3) == life(3)
    assert life(3) != life(4)


def test_a_client_who_grows_and_makes_no_fault_climbs_and_is_never_over() -> None:
    lived = life(1, **CERTAIN, strength_nm=2.5)
    loads = [one.mean_nm for one in lived]
    assert len(lived) == 18
    assert loads == sorted(loads)
    assert loads[-1] > loads[0]
    assert not any(one.over for one in lived)


def test_a_client_whose_strength_does_not_change_settles() -> None:
    """At the end the load stands still for longer than at first it took to rise."""
    lived = life(1, **CERTAIN, gain=0.0)
    assert len({one.mean_nm for one in lived[-5:]}) == 1


def test_a_constant_pain_that_scatters_does_not_take_the_load_down() -> None:
    """Mean 2, as before; without its scatter the same life ends no more than two steps of 10 % higher."""
    pain = {**CERTAIN, "usual_pain": 2.0, "strength_nm": 2.5}
    calm = life(1, **pain)[-1].mean_nm
    finals = [life(seed, **pain | {"pain_deviation": 0.7})[-1].mean_nm for seed in range(12)]
    assert sum(finals) / len(finals) > 0.7 * calm


def test_a_pain_that_lasts_lowers_the_load_and_calls_for_the_therapist() -> None:
    rules = {one.rule for one in life(1, **CERTAIN | {"usual_pain": 1.0, "flare": 1.0, "flare_points": 3.0})}
    assert "pain_above_usual" in rules


def test_strength_grows_by_the_load_and_the_sets_and_is_lost_with_time_away() -> None:
    chance = Random(1).random
    client = virtual(flare=0.0, flare_over=0.0)
    gains = {
        (load_nm, done): client.trained(load_nm, done, False, START, chance).strength_nm / client.strength_nm - 1
        for load_nm, done in ((6.0, 1.0), (9.0, 1.0), (3.0, 1.0), (6.0, 0.5))
    }
    assert gains[6.0, 1.0] == pytest.approx(LIMITS["forecast_gain"])
    assert gains[9.0, 1.0] == gains[6.0, 1.0]
    assert gains[3.0, 1.0] == pytest.approx(gains[6.0, 1.0] / 2)
    assert gains[6.0, 0.5] == pytest.approx(gains[6.0, 1.0] / 2)
    after = client.trained(6.0, 1.0, False, START, chance)
    kept = after.on(START + timedelta(days=LIMITS["forecast_keep_days"]))
    assert kept.strength_nm == after.strength_nm
    away = after.on(START + timedelta(days=LIMITS["forecast_keep_days"] + 7))
    assert away.strength_nm == pytest.approx(after.strength_nm * (1 - LIMITS["forecast_loss"]))
    in_two = kept.on(START + timedelta(days=17)).on(START + timedelta(days=LIMITS["forecast_keep_days"] + 7))
    assert in_two.strength_nm == pytest.approx(away.strength_nm)


def test_a_flare_raises_pain_for_its_days() -> None:
    chance = Random(1).random
    client = virtual(pain_deviation=0.0, flare=1.0).trained(2.0, 1.0, False, START, chance)
    days = (0, LIMITS["forecast_flare_days"] - 1, LIMITS["forecast_flare_days"])
    assert [client.pain_at(START + timedelta(days=day), chance) for day in days] == [4, 4, 2]


@pytest.mark.parametrize("scale", [1.0, 4.0])
def test_the_forecast_takes_the_strength_that_was_measured(scale: float) -> None:
    """A client measured at 23 to 29 Nm was once simulated with 3 to 5 Nm."""
    today = plan()
    here = Strength(position="0", force_n=scale * 20, lever_m=0.25, on=START.date())
    measured = replace(today, profile=today.profile.model_copy(update={"strengths": (here,)}))
    error = LIMITS["strength_error"]
    made = fan(measured, 1, START, lives=20, weeks=1)
    assert scale * 5 * (1 - error) <= made.low_nm < scale * 5 < made.high_nm <= scale * 5 * (1 + error)
    assert "as measured here" in forecast_text(measured, 1, START, lives=1)
    elsewhere = here.model_copy(update={"position": "45"})
    other = replace(today, profile=today.profile.model_copy(update={"strengths": (elsewhere,)}))
    assert fan(other, 1, START, lives=20, weeks=1).low_nm == made.low_nm
    assert "in another position" in forecast_text(other, 1, START, lives=1)
    assert "because it was not measured" in " ".join(forecast_text(today, 1, START, lives=1).split())


def test_the_forecast_says_the_load_of_today_with_its_interval() -> None:
    step = plan().step
    text = " ".join(forecast_text(plan(), 1, START, lives=1).split())
    assert f"Today: {step.mean_nm:.2f} Nm on average, likely {step.low_nm:.1f} to {step.high_nm:.1f}." in text


def test_what_a_strength_is_good_for() -> None:
    """One repetition more for each thirtieth: Epley B, 1985 (memory)."""
    assert clean_repetitions(1.5, 1.0) == 15
    assert clean_repetitions(1.0, 1.0) == 0
    assert clean_repetitions(0.5, 1.0) == 0


def test_chance_is_spread_as_the_normal_distribution() -> None:
    """Mean 0 and standard deviation 1 within four standard errors of 4,000 draws."""
    random = Random(5).random
    drawn = [normal(random) for _ in range(4000)]
    mean = sum(drawn) / len(drawn)
    assert abs(mean) < 4 / len(drawn) ** 0.5
    assert sum((one - mean) ** 2 for one in drawn) / len(drawn) == pytest.approx(1, abs=4 * (2 / len(drawn)) ** 0.5)


def test_the_fan_is_marked_as_a_simulation_and_fits_the_page() -> None:
    text = forecast_text(plan(), 1, START + timedelta(days=1), lives=2)
    assert "This is a simulation and no promise." in text
    assert max(map(len, text.splitlines())) <= 80

"""Virtual lives go through the very same rules, and the same seed gives the same life."""

from datetime import timedelta
from random import Random

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.progress import Progress
from coach.reports.text.forecast import forecast_text
from coach.session.plan import Plan, plan_session
from coach.session.session_cache import SessionCache
from coach.session.simulation.forecast import SimulatedSession, simulate_sessions
from coach.session.simulation.virtual_client import VirtualClient, clean_repetitions, normal
from tests.mechanics.clients import prescription, profile
from tests.progression.records import START


def plan() -> Plan:
    """A client before the first session."""
    before = Progress(exercise="external_rotation", position_deg=0, repetitions=8)
    return plan_session(profile(rest_m=0.75), prescription(), load_content(content_folder(), "en"), before)


def life(seed: int, **client: float) -> list[SimulatedSession]:
    """Six weeks of a virtual client whose strength is given as a multiple of the first load."""
    today = plan()
    values = {"strength_nm": 1.7, **client}
    values["strength_nm"] *= today.step.mean_nm
    return list(simulate_sessions(today, VirtualClient(**values), 6, Random(seed).random, START, SessionCache()))


CERTAIN = {"variation": 0.0, "fault": 0.0, "fault_at_last": 0.0, "soreness": 0.0, "missed": 0.0}


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

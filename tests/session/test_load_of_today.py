"""The load that a session begins with: what was asked for, what the client has reached, what may never be."""

import os
import random
from datetime import date

import pytest

from coach.mechanics.first_step import AboveStrength
from coach.mechanics.ladder import helping_reason
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.no_session import NoSession
from coach.model.prescription import FixedSetup
from coach.model.profile import AvailableRange, Profile, Strength
from coach.progression.state_machine import initial_progress
from coach.session.plan import NotOnLadder, Plan, StandingRefused, open_record, plan_session
from coach.store.client_store import ClientStore
from tests.clocks import START
from tests.demo.pristine import DEMO
from tests.mechanics.clients import prescription
from tests.mechanics.random_clients import random_clients
from tests.plans import plan_of, shipped

TERN = plan_of("tern")
SETUP = ("grade", "strands", "distance_cm")


def _plan(profile: Profile | None = None, **before: object) -> Plan:
    """A session of tern, with another profile or another progress."""
    client = TERN.profile if profile is None else profile
    return plan_session(client, TERN.prescription, shipped(), TERN.before.model_copy(update=before))


def _setup(step: LoadStep) -> tuple[object, ...]:
    return tuple(getattr(step, name) for name in SETUP)


def _with_home(**home: object) -> Profile:
    return TERN.profile.model_copy(update={"home": TERN.profile.home.model_copy(update=home)})


def _with_range(available_deg: float) -> Profile:
    wide = AvailableRange(position="0", available_deg=available_deg, on=date(2027, 1, 1))
    return TERN.profile.model_copy(update={"ranges": (*TERN.profile.ranges, wide)})


def _with_strength(strength_nm: float) -> Profile:
    weak = Strength(position="0", force_n=strength_nm / 0.26, lever_m=0.26, on=date(2027, 1, 1))
    return TERN.profile.model_copy(update={"strengths": (weak,)})


def test_the_setup_that_the_client_has_reached_stays_when_the_marks_are_others() -> None:
    """Band, strands and mark are kept, never the newton metres: the ladder that changed has no step there."""
    other_marks = _with_home(nearest_cm=62, mark_every_cm=10)
    plan = _plan(other_marks, load=TERN.step)
    assert _setup(plan.step) == _setup(TERN.step)
    assert plan.step.mean_nm == TERN.step.mean_nm
    assert plan.step in plan.ladder.steps
    assert [step.mean_nm for step in plan.ladder.steps] == sorted(step.mean_nm for step in plan.ladder.steps)
    assert open_record(plan, START).rungs.step == plan.step


def test_it_stays_with_its_new_torque_when_its_band_was_measured_anew() -> None:
    bands = tuple(
        band.model_copy(
            update={
                "points": tuple(
                    point.model_copy(update={"force_n": round(point.force_n * 1.2, 1)}) for point in band.points
                )
            }
        )
        for band in TERN.profile.bands
    )
    plan = _plan(TERN.profile.model_copy(update={"bands": bands}), load=TERN.step)
    assert _setup(plan.step) == _setup(TERN.step)
    assert plan.step.mean_nm > 1.1 * TERN.step.mean_nm


def test_a_band_that_is_gone_gives_way_to_a_step_that_is_nowhere_above_or_to_none() -> None:
    without = TERN.profile.model_copy(
        update={"bands": tuple(band for band in TERN.profile.bands if band.name != TERN.step.grade)}
    )
    plan = _plan(without, load=TERN.step)
    assert plan.step.grade != TERN.step.grade
    assert plan.step.mean_nm <= TERN.step.mean_nm
    assert plan.step.peak_nm <= TERN.step.peak_nm
    lowest = TERN.step.model_copy(update={"mean_nm": 0.2, "peak_nm": 0.3})
    with pytest.raises(StandingRefused, match="no longer at home, and every load step is above it: overrule"):
        _plan(without, load=lowest)


def test_a_load_that_pushes_outward_in_a_wider_range_is_refused_with_the_degree() -> None:
    with pytest.raises(NoSession, match=r"at \d+ degrees of rotation the band pulls the arm along") as refused:
        _plan(_with_range(115.0), load=TERN.step)
    assert "cap the range below" in str(refused.value)


def test_a_load_that_is_over_the_ceiling_now_is_refused() -> None:
    lower = TERN.prescription.model_copy(update={"limits": {"elongation_max": 0.9}})
    far = TERN.step.model_copy(update={"distance_cm": 120})
    with pytest.raises(StandingRefused, match=r"stretched more than 90 % beyond its resting length: overrule"):
        plan_session(TERN.profile, lower, shipped(), TERN.before.model_copy(update={"load": far}))


def test_a_first_step_that_is_not_on_the_ladder_is_a_fault_and_not_replaced() -> None:
    """It was replaced in silence."""
    off = ChosenStep(grade="knotted", strands=1, distance_cm=87)
    with pytest.raises(NotOnLadder, match=r"the first step is the knotted band, strands 1, at 87 cm.*: name one of"):
        plan_session(TERN.profile, TERN.prescription.model_copy(update={"first_step": off}), shipped(), TERN.before)


def test_a_first_step_above_the_share_of_strength_is_refused() -> None:
    with pytest.raises(AboveStrength, match=r"above 40 % of the measured 5\.0 Nm"):
        _plan(_with_strength(5.0))


def test_an_overruling_load_above_the_share_names_it() -> None:
    asked = ChosenStep(grade="knotted", strands=1, distance_cm=90)
    weak = _with_strength(6.0)
    with pytest.raises(AboveStrength, match="overrule with a share of 0") as refused:
        _plan(weak, asked=asked)
    share = float(str(refused.value).split("share of ")[1].split(" ")[0])
    plan = _plan(weak, asked=asked.model_copy(update={"share": share}))
    assert _setup(plan.step) == ("knotted", 1, 90)
    assert plan.rungs(plan.step).no_next == "strength"


def test_a_fixed_mark_moves_the_client_to_a_step_that_is_not_above() -> None:
    fixed = TERN.prescription.model_copy(
        update={"setups": (FixedSetup(position="0", distance_cm=80),), "first_step": None}
    )
    plan = plan_session(TERN.profile, fixed, shipped(), TERN.before.model_copy(update={"load": TERN.step}))
    assert plan.step.distance_cm == 80
    assert plan.step.mean_nm <= TERN.step.mean_nm


def test_a_target_is_proposed_from_strength_where_another_position_follows() -> None:
    plover, tern = plan_of("plover"), plan_of("tern")
    assert plover.target_nm == pytest.approx(0.25 * 88.0 * 0.26, abs=0.01)
    assert open_record(plover, START).target_nm == plover.target_nm
    assert tern.target_nm is None


def test_nobody_stands_on_another_setup_after_an_upgrade() -> None:
    """Random clients at any setup of their room, with torques of another version: the same band, strands and mark, or
    a refusal that says why. Never another one."""
    chance, kept, refused = random.Random(9), 0, 0
    for client, position in random_clients(9, int(os.environ.get("UPGRADES", "60"))):
        if position.direction == "internal":
            continue
        home = client.home
        load = LoadStep(
            grade=chance.choice(client.bands).name,
            strands=chance.choice(home.strands),
            distance_cm=chance.randrange(home.nearest_cm, home.farthest_cm + 1),
            mean_nm=chance.uniform(0.5, 9.0),
            peak_nm=9.0,
        )
        prescribed = prescription()
        before = initial_progress(prescribed).model_copy(update={"position": position.name, "load": load})
        try:
            plan = plan_session(client, prescribed, shipped(), before)
        except NoSession:
            refused += 1
            continue
        kept += 1
        assert _setup(plan.step) == _setup(load)
    assert kept > 10
    assert refused > 0


@pytest.mark.parametrize("name", ["plover", "heron", "avocet"])
def test_the_demo_clients_stand_where_their_records_say(name: str) -> None:
    store = ClientStore.read(DEMO / name, shipped())
    load = store.progress.load
    assert load is not None
    assert _setup(plan_session(store.profile, store.prescription, shipped(), store.progress).step) == _setup(load)


def test_a_cap_is_advised_wherever_an_arc_is_left() -> None:
    """An instruction takes any range from 0 up."""
    position = shipped().exercise("external_rotation").position("0")
    assert "cap the range below 3 degrees" in helping_reason(position, 3.0)
    assert "cap" not in helping_reason(position, 0.0)

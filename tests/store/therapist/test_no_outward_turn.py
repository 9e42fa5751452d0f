"""A shoulder that turns outward no further than straight ahead: its arc ends there, or the position stays closed."""

from pathlib import Path

import pytest

from coach.session.plan import plan_session
from coach.store.client_store import ClientStore
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import render
from tests.clocks import START
from tests.plans import shipped


def _stiff(client: Path, degrees: float) -> Path:
    file = client / "profile.toml"
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    ranged = [f"available_deg = {degrees}\n" if line.startswith("available_deg") else line for line in lines]
    file.write_text("".join(ranged), encoding="utf-8")
    return client


def test_where_the_arc_begins_before_it_the_arc_ends_there(demo_profiles: Path) -> None:
    client = _stiff(demo_profiles / "tern", 0)
    assert check_profile(client, shipped()) == ()
    store = ClientStore.read(client, shipped())
    plan = plan_session(store.profile, store.prescription, shipped(), store.progress)
    assert (plan.position.arc_start_deg, plan.profile.available_deg("0", "external")) == (-30, 0)
    assert store.admission(START).may_start


def test_where_the_arc_begins_there_the_position_stays_closed_and_says_what_to_do(demo_profiles: Path) -> None:
    client = _stiff(demo_profiles / "heron", 0)
    told = " ".join(" ".join(render(fault) for fault in check_profile(client, shipped())).split())
    assert "the available range ends at 0 degrees, where the arc starts at 0" in told
    assert "measure the range again, or leave this position out" in told
    store = ClientStore.read(client, shipped())
    assert not store.admission(START).may_start


@pytest.mark.parametrize("degrees", [-1, 121])
def test_a_range_that_no_shoulder_has_is_refused(demo_profiles: Path, degrees: int) -> None:
    (fault,) = check_profile(_stiff(demo_profiles / "tern", degrees), shipped())
    assert "0" in fault.expected
    assert "120" in fault.expected

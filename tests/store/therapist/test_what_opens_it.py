"""Where an instruction is refused for a finding or a condition, what is offered is what would be taken."""

import re
from pathlib import Path

import pytest

from coach.toml.diagnostic import Diagnostic, Refusal
from tests.store.therapist.instructions import proposed, signed

NOTED = '\n[[condition]]\nkind = "{kind}"\non = 2024-05-06\nby = "KB"\n'


def _noted(client: Path, kind: str) -> Path:
    profile = client / "profile.toml"
    profile.write_text(profile.read_text(encoding="utf-8") + NOTED.format(kind=kind), encoding="utf-8")
    return client


def _to_ninety(client: Path) -> Path:
    """With 90 degrees among the positions of the goal."""
    file = client / "prescription.toml"
    file.write_text(re.sub(r"(?m)^positions = .*$", 'positions = ["0", "45", "90"]', file.read_text()))
    return client


def _refused(client: Path, what: str, **said: str) -> Diagnostic:
    with pytest.raises(Refusal) as refused:
        proposed(client, what, **said)
    return refused.value.faults[0]


def test_apprehension_that_is_present_is_not_offered_to_be_waived(demo_profiles: Path) -> None:
    """Nor when other findings are missing too: nothing opens the position until a test finds none."""
    client = _to_ninety(_noted(demo_profiles / "tern", "instability"))
    for despite in ({}, {"despite": "apprehension"}, {"despite": "apprehension, strength, order, range"}):
        fault = _refused(client, "unlock_position", position="90", apprehension="present", **despite)
        assert "the finding on apprehension" in fault.what
        assert "despite" not in fault.fix
        assert "nothing opens it while apprehension is present" in fault.fix


@pytest.mark.parametrize("waived", ["", "order", "strength"])
def test_what_is_offered_to_be_waived_is_taken(waived: str, demo_profiles: Path) -> None:
    """It holds what was waived already, so that it can be signed as it is written."""
    client = _to_ninety(_noted(demo_profiles / "tern", "instability"))
    said = {"position": "90", **({"despite": waived} if waived else {})}
    fault = _refused(client, "unlock_position", **said)
    offered = fault.fix.partition("despite = ")[2]
    assert set(waived.split()) <= set(offered.split(", "))
    signed(client, "unlock_position", position="90", despite=offered)


def test_known_night_pain_is_refused_with_the_condition_wherever_it_was_noted(demo_profiles: Path) -> None:
    client = _noted(_noted(demo_profiles / "tern", "instability"), "cancer")
    fault = _refused(client, "know_night_pain")
    assert "because of a condition: cancer in the past" in fault.what
    assert "profile.toml" not in fault.what

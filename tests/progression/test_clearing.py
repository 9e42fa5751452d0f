"""What a position needs before the therapist clears it."""

from typing import Any

import pytest

from coach.model.condition import Irritability
from coach.model.profile import AvailableRange, Profile, Strength
from coach.progression.clearing import missing_for
from tests.plans import plan_of
from tests.progression.records import START, book, instruction, prescription, session, standing

_ON = START.date()


def measured(**changed: Any) -> Profile:
    """A client whose range and strength are measured at 45 and 90 degrees."""
    ranges = tuple(AvailableRange(position=one, available_deg=80, on=_ON) for one in ("45", "90"))
    strengths = tuple(Strength(position=one, force_n=60, lever_m=0.3, on=_ON) for one in ("45", "90"))
    return plan_of("tern").profile.model_copy(update={"ranges": ranges, "strengths": strengths, **changed})


def lacking(profile: Profile, position: str = "45", kinds: tuple[str, ...] = (), **said: Any) -> tuple[str, ...]:
    """What the clearing of a position lacks, for a client with these conditions and these sessions behind."""
    gave_way = session(days=said.pop("gave_way_days", -400), given={"set_1.trouble": "gave_way"})
    return missing_for(
        instruction("unlock_position", 1, position=position, **said),
        profile,
        prescription(positions=("0", "45", "90")),
        standing(),
        (gave_way,),
        tuple(book().content.conditions[one] for one in kinds),
        book().content.exercise("external_rotation"),
        book().limits({}),
    )


def test_nothing_is_missing_where_everything_was_measured() -> None:
    assert lacking(measured()) == ()


@pytest.mark.parametrize(
    ("profile", "said", "missing"),
    [
        ({"ranges": ()}, {}, ("range",)),
        ({"strengths": ()}, {}, ("strength",)),
        ({"strengths": ()}, {"despite": ("strength",)}, ()),
        ({}, {"gave_way_days": -10}, ("gave_way",)),
        ({}, {"gave_way_days": -40}, ()),
        ({}, {"position": "90"}, ("order",)),
        ({}, {"position": "90", "despite": ("order",)}, ()),
        ({}, {"position": "90", "kinds": ("instability",), "despite": ("order",)}, ("apprehension",)),
        ({}, {"position": "90", "kinds": ("instability",), "despite": ("order", "apprehension")}, ()),
        (
            {},
            {"position": "90", "kinds": ("stabilisation",), "despite": ("order",), "apprehension": "absent"},
            (),
        ),
        (
            {},
            {
                "position": "90",
                "kinds": ("instability",),
                "despite": ("order", "apprehension"),
                "apprehension": "present",
            },
            ("apprehension",),
        ),
        ({"irritability": Irritability(level="high", on=_ON, by="AB")}, {}, ("irritability",)),
        ({"irritability": Irritability(level="moderate", on=_ON, by="AB")}, {}, ()),
    ],
)
def test_what_a_clearing_lacks(profile: dict[str, Any], said: dict[str, Any], missing: tuple[str, ...]) -> None:
    assert lacking(measured(**profile), **said) == missing


def test_a_range_of_another_direction_is_none() -> None:
    inward = AvailableRange(position="45", direction="internal", available_deg=60, on=_ON)
    assert lacking(measured(ranges=(inward,))) == ("range",)

"""A fault of what was typed at the intake is told at a field that has to do with it, in words for a form."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from coach.screens.therapist.form_screen import fault_text
from coach.screens.therapist.intake_form import intake_fields, with_direction
from coach.store.therapist.intake import check_client_texts, client_texts
from coach.store.therapist.intake_fields import fields_of
from coach.toml.diagnostic import Diagnostic
from tests.clocks import START
from tests.plans import shipped
from tests.screens.therapist.new_client import TYPED

OWN_PLAN = {
    "profile.plan.days": "monday, friday",
    "profile.plan.at": "17:30",
    "profile.plan.when": "after work",
    "profile.plan.where": "in the kitchen",
}
ROW = {
    "prescription.exercises.3.exercise": "row",
    "prescription.exercises.3.side": "left",
    "prescription.exercises.3.positions": "0",
}
ANCHORS = "profile.home.anchor_heights_cm"


def _faults(typed: Mapping[str, str]) -> tuple[tuple[Diagnostic, tuple[str, ...]], ...]:
    """Each fault of the form with the fields that it is told at."""
    content = shipped()
    given = {**{one.key: one.typed for one in intake_fields(content, "wren") if one.key}, **typed}
    texts = client_texts(with_direction(given, content), START.date(), content.clinic)
    found = check_client_texts(texts, Path("wren"), content, START)
    return tuple((fault, fields_of(fault, texts, given)) for fault in found.faults)


def test_no_load_step_for_an_exercise_is_told_there_and_not_at_the_time_of_day() -> None:
    ((fault, fields),) = _faults({**TYPED, **OWN_PLAN, **ROW})
    assert fault.what.startswith("row_left: no load step at")
    assert set(fields) == {"prescription.exercises.3.exercise", ANCHORS}


def test_of_the_first_exercise_it_is_told_at_the_first() -> None:
    ((fault, fields),) = _faults(
        {**TYPED, **OWN_PLAN, "prescription.exercise": "row", "profile.strengths.0.lever_m": ""}
    )
    assert fault.what.startswith("no load step at")
    assert set(fields) == {"prescription.exercise", ANCHORS}


def test_too_little_strength_is_told_at_the_strength_of_its_exercise() -> None:
    ((fault, fields),) = _faults({**TYPED, **OWN_PLAN, "profile.strengths.0.force_n": "1"})
    assert "of the measured" in fault.what
    assert set(fields) == {"prescription.exercise", "profile.strengths.0.force_n"}


@pytest.mark.parametrize("key", ["profile.home.nearest_cm", "profile.home.farthest_cm", "profile.bands.1.name"])
def test_what_is_missing_is_told_at_its_own_field(key: str) -> None:
    faults = _faults({**TYPED, **OWN_PLAN, **ROW, key: ""})
    assert key in [field for _, fields in faults for field in fields]
    assert not any(field.startswith("profile.plan.") for _, fields in faults for field in fields)


def test_a_time_of_day_is_asked_for_without_quotes() -> None:
    ((fault, fields),) = _faults({**TYPED, **OWN_PLAN, "profile.plan.at": "half past five"})
    assert fields == ("profile.plan.at",)
    field = next(one for one in intake_fields(shipped(), "wren") if one.key == "profile.plan.at")
    told = fault_text(fault, field)
    assert "a time of day, from 00:00 to 23:59" in told
    assert "quotes" not in told
    assert '"00:00"' not in told


@pytest.mark.parametrize("typed", ["17:30", '"17:30"', "5:30 pm", "5.30pm", "5:30 P.M.", "17.30", "17:30 Uhr"])
def test_a_time_of_day_is_read_as_it_is_written(typed: str) -> None:
    assert _faults({**TYPED, **OWN_PLAN, "profile.plan.at": typed}) == ()
    given = {**TYPED, **OWN_PLAN, "profile.plan.at": typed}
    assert 'at = "17:30"' in client_texts(given, START.date()).profile


@pytest.mark.parametrize("typed", ["5:30", "25:00", "17:60", "13:30 pm", "0:30 am", "17", "5 o'clock"])
def test_a_time_of_day_that_can_be_two_or_none_is_refused(typed: str) -> None:
    ((_, fields),) = _faults({**TYPED, **OWN_PLAN, "profile.plan.at": typed})
    assert fields == ("profile.plan.at",)


def test_every_text_of_a_form_is_asked_for_without_quotes() -> None:
    """Nothing is typed in quotes in a form, so no fault may ask for them."""
    for field in (one for one in intake_fields(shipped(), "wren") if one.key):
        for fault, fields in _faults({**TYPED, field.key: "?" * 50}):
            if field.key in fields:
                assert "in quotes" not in fault_text(fault, field), field.key

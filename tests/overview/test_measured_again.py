"""What is beyond the error of measuring: published errors, one case on each side of them."""

from collections.abc import Mapping
from datetime import UTC, datetime

import pytest

from coach.model.profile import Profile
from coach.model.programme.visit_file import VisitFile
from coach.overview.visits.measured_again import before_visit, measured_again
from coach.overview.visits.visit_summary import VisitInWords
from coach.toml.reader import read_model
from tests.demo.pristine import DEMO
from tests.plans import shipped

LIMITS = shipped().limit_values({})


def _visit(day: int, values: Mapping[str, object], initials: str = "KB") -> VisitFile:
    at = datetime(2026, 11, day, 10, tzinfo=UTC)
    return VisitFile.model_validate({"format": 2, "at": at, "initials": initials, **values})


def _range(active: float, direction: str = "external") -> dict[str, object]:
    return {"ranges": ({"position": "0", "direction": direction, "side": "right", "active_deg": active},)}


def _strength(force: float) -> dict[str, object]:
    return {"strengths": ({"position": "0", "side": "right", "force_n": force, "lever_m": 0.24},)}


def _profile() -> Profile:
    """Measured on 9 November: external rotation 68 degrees on the right, 70 N at 0.24 m."""
    return read_model(DEMO / "curlew" / "profile.toml", Profile)


@pytest.mark.parametrize(
    ("values", "beyond"),
    [
        # 5 degrees, the same rater: Kolber MJ et al., Physiother Theory Pract 2009;25:572.
        (_range(72.9), "within"),
        (_range(73), "beyond"),
        (_range(63), "beyond"),
        # 24 %, the cautious end of 13 to 24 %: Phys Ther Sport 2016;21:75-81.
        (_strength(86), "within"),
        (_strength(87), "beyond"),
        (_range(30, "pull"), "unknown"),  # never measured
    ],
)
def test_a_change_is_beyond_the_published_error_or_not(values: dict[str, object], beyond: str) -> None:
    (one,) = measured_again(_visit(30, values), _profile(), (), LIMITS)
    assert one.beyond == beyond


@pytest.mark.parametrize(
    ("values", "mark"), [(_range(72.9), "noted"), (_range(68), "noted"), (_range(73), "changed")]
)
def test_what_is_within_the_error_is_shown_and_not_marked_as_changed(values: dict[str, object], mark: str) -> None:
    measured, *_ = VisitInWords(_visit(30, values), _profile(), (), LIMITS, shipped()).parts()
    assert [pair.mark for pair in measured.pairs] == [mark]


@pytest.mark.parametrize(
    ("initials", "active", "beyond"), [("KB", 65, "beyond"), ("MS", 68.9, "within"), ("MS", 69, "beyond")]
)
def test_two_people_need_a_larger_change(initials: str, active: float, beyond: str) -> None:
    """9 degrees between two raters: Kolber MJ et al., Physiother Theory Pract 2011;27:176."""
    earlier = (_visit(20, _range(60)),)
    (one,) = measured_again(_visit(30, _range(active), initials), _profile(), earlier, LIMITS)
    assert (one.before is not None and one.before.value, one.beyond) == (60, beyond)


def test_the_change_is_that_of_the_values_shown() -> None:
    """70 and 75.1 N at 0.24 m are 16.8 and 18.024 Nm, shown as 16.8 and 18: the change was said to be 1.22."""
    measured, *_ = VisitInWords(_visit(30, _strength(75.1)), _profile(), (), LIMITS, shipped()).parts()
    (pair,) = measured.pairs
    assert "16.8 Nm" in pair.before
    assert "18 Nm, +1.2:" in pair.after


def test_no_error_of_a_path_is_known() -> None:
    earlier = (_visit(20, _range(30, "pull")),)
    (one,) = measured_again(_visit(30, _range(45, "pull")), _profile(), earlier, LIMITS)
    assert (one.unit, one.beyond) == ("cm", "unknown")


def test_an_older_visit_does_not_hide_what_the_profile_has_newer() -> None:
    known = before_visit(_profile(), (_visit(2, _range(50)),))
    assert known["range", ("0", "external", "right")].value == 68

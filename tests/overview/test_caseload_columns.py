"""The columns of a caseload: small curves on a screen, as much as there is room for, and none in text."""

from datetime import date

import pytest

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.caseload import ClientSummary, ClientWeek
from coach.overview.caseload_columns import caseload_columns, load_curve, pain_curve
from coach.overview.caseload_lines import CaseloadLine, LineSources, caseload_line
from tests.plans import shipped

MESSAGES = shipped().messages.therapist.caseload
WEEKS = tuple(ClientWeek(load=load, pain=pain) for load, pain in ((None, None), (2.0, 0), (3.0, 8), (4.0, 2)))


def _line(**known: object) -> CaseloadLine:
    facts = {"folder": "tern", "mean_nm": 4.0, "low_nm": 3.5, "high_nm": 4.5, "pain": 2, "weeks": WEEKS, **known}
    needs = load_needs(content_folder())
    return caseload_line(ClientSummary.model_validate(facts), LineSources(needs, shipped(), date(2026, 11, 25)))


@pytest.mark.parametrize("width", [60, 74, 114])
def test_each_line_has_its_curves_of_load_and_of_pain_and_is_not_too_wide(width: int) -> None:
    line = _line()
    columns = caseload_columns([line], MESSAGES, width, "quadrants")
    text = columns.line(line)
    assert len(text) == len(columns.head) <= width
    assert load_curve(line.client, 8, "quadrants") in text
    assert pain_curve(line.client, 8, "quadrants") in text


def test_in_the_smallest_window_what_a_client_needs_has_room_before_the_curve_of_load() -> None:
    line = _line(status="review", rule="warning_sign", sign="numb_or_weak")
    columns = caseload_columns([line], MESSAGES, 54, "quadrants")
    text = columns.line(line)
    assert len(text) == len(columns.head) <= 54
    assert "warning sign: New num" in text
    assert pain_curve(line.client, 8, "quadrants") in text


def test_more_room_shows_more() -> None:
    line = _line()
    heads = [len(caseload_columns([line], MESSAGES, width, "quadrants").shown) for width in (60, 74, 114)]
    assert heads == sorted(heads)
    assert heads[-1] == 5
    assert "(3.5-4.5)" in caseload_columns([line], MESSAGES, 114, "quadrants").line(line)


def test_text_has_no_curves() -> None:
    line = _line()
    assert not set("▁▂▃▄▅▆▇█·━╌") & set(caseload_columns([line], MESSAGES, 80).line(line))


def test_the_curves_are_to_scale() -> None:
    """Load from half its highest, so that a small rise is no cliff; pain from 0 to 10."""
    client = _line().client
    assert load_curve(client, 8, "quadrants") == "·▁▃▆"
    assert pain_curve(client, 8, "quadrants") == "·▁▅▂"
    assert load_curve(_line(weeks=()).client, 8, "quadrants") == ""
    assert pain_curve(_line(weeks=(ClientWeek(load=1.0),)).client, 8, "quadrants") == ""

"""Lines of a caseload: those who need somebody first, found by typing, and never wider than the page."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.caseload import ClientSummary
from coach.overview.caseload_columns import caseload_columns
from coach.overview.caseload_lines import (
    CASELOAD_ORDERS,
    CaseloadLine,
    LineSources,
    caseload_line,
    legend_text,
    needing_exercise,
    no_session_texts,
    opened_first,
    search_lines,
    sorted_lines,
)
from tests.plans import shipped

TODAY = date(2026, 11, 25)
_NEEDS = load_needs(content_folder())


def _line(folder: str, **known: object) -> CaseloadLine:
    facts = {"days_a_week": 3, "first_session": date(2026, 11, 2), "last_seen": date(2026, 11, 24), **known}
    return caseload_line(
        ClientSummary.model_validate({"folder": folder, **facts}), LineSources(_NEEDS, shipped(), TODAY)
    )


LINES = [
    _line("quiet", pain=1, mean_nm=5.0),
    _line("gone", last_seen=date(2026, 10, 1), mean_nm=2.0),
    _line("sore", rule="pain_over_limit", pain=7),
    _line("warned", status="review", rule="warning_sign"),
    _line("torn", fault="profile.toml, line 3: this is not a value " * 4),
    _line("sore_and_gone", rule="pain_over_limit", last_seen=date(2026, 10, 1)),
]


def _names(lines: list[CaseloadLine]) -> list[str]:
    return [line.client.folder for line in lines]


def test_the_most_urgent_come_first_and_of_two_alike_the_one_with_more() -> None:
    assert _names(sorted_lines(LINES, "need")) == ["warned", "torn", "sore_and_gone", "sore", "gone", "quiet"]


def test_other_orders() -> None:
    assert _names(sorted_lines(LINES, "pain"))[0] == "sore"
    assert _names(sorted_lines(LINES, "load"))[:2] == ["quiet", "gone"]
    assert _names(sorted_lines(LINES, "seen"))[:2] == ["sore_and_gone", "gone"]
    assert _names(sorted_lines(LINES, "client")) == sorted(_names(LINES))
    for order in CASELOAD_ORDERS:
        assert sorted(_names(sorted_lines(LINES, order))) == sorted(_names(LINES))


# The page of the client on which something can be done about it: an instruction ends a review or puts a date right,
# and no field of a visit mends a file or measures a band. Everything else is for somebody to look or to ask.
_OPENS = {
    **dict.fromkeys(("warning_sign", "wrong_date", "signed_unknowing", "review", "may_not_start"), "steering"),
    **dict.fromkeys(("unreadable", "two_versions", "damaged_record"), "check"),
    "band_to_measure": "bands",
}


def test_a_need_opens_the_page_on_which_it_can_be_answered() -> None:
    assert {need.name: need.opens for need in _NEEDS} == {
        need.name: _OPENS.get(need.name, "visit") for need in _NEEDS
    }
    opened = {_names([line])[0]: opened_first(line) for line in LINES}
    assert opened["quiet"] == "preview"
    assert (opened["warned"], opened["torn"], opened["sore"]) == ("steering", "check", "visit")
    assert opened_first(_line("worn", band_age=1.0)) == "bands"
    assert opened_first(_line("copied", two_versions=("profile (1).toml",))) == "check"


def test_of_several_exercises_the_one_with_the_first_need_is_chosen() -> None:
    each = [
        ClientSummary.model_validate({"folder": "x", "name": name, "exercise": "row"})
        for name in ("row", "raise", "press")
    ]
    sore = each[1].model_copy(update={"rule": "pain_over_limit"})
    assert needing_exercise(_line("x", exercises=(each[0], sore, each[2]))) == 1
    assert needing_exercise(_line("x", exercises=tuple(each))) == 0
    assert needing_exercise(_line("one")) == 0


def test_every_word_typed_must_be_there_in_the_name_or_the_need() -> None:
    assert _names(search_lines(LINES, "PAIN gone")) == ["sore_and_gone"]
    assert _names(search_lines(LINES, "warning")) == ["warned"]
    assert _names(search_lines(LINES, "")) == _names(LINES)
    assert search_lines(LINES, "nobody") == []


def test_a_client_is_found_by_the_position_as_the_line_shows_it() -> None:
    high = _line("high", exercise="external_rotation", position="90")
    low = _line("low", exercise="external_rotation", position="0")
    assert high.cells[1] == "external 90"
    assert search_lines([high, low], "external 90") == [high]
    assert search_lines([high, low], "External") == [high, low]
    several = _of_several(exercise="external_rotation", position="45")
    assert several.cells[1] == "2 exercises"
    assert search_lines([several, high], "2 exercises") == [several]
    assert search_lines([several, high], "external 45") == [several]


_TEXTS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P")), min_size=1, max_size=120)


@given(st.lists(st.tuples(_TEXTS, st.booleans()), min_size=1, max_size=5), st.integers(60, 200))
def test_no_line_is_wider_than_the_page(names: list[tuple[str, bool]], width: int) -> None:
    """Long names and long faults are cut, with an ellipsis."""
    lines = [_line(name, fault=name if torn else "", status="review", under_sessions=3) for name, torn in names]
    columns = caseload_columns(lines, shipped().messages.therapist.caseload, width)
    for text in (columns.head, *(columns.line(line) for line in lines)):
        assert len(text) <= width


def test_what_does_not_fit_is_counted() -> None:
    line = _line("x", status="review", under_sessions=3, last_seen=date(2026, 10, 1), tell={"pain_rising": "told"})
    columns = caseload_columns([line], shipped().messages.therapist.caseload, 61)
    assert "  in review, pain rising +2  " in columns.line(line)


def test_a_load_is_said_with_its_interval_where_one_is_known() -> None:
    known = _line("known", mean_nm=2.31, low_nm=2.04, high_nm=2.66)
    assert known.cells[2] == "2.3 (2.0-2.7)"
    assert LINES[0].cells[2] == "5.0"
    path = _line("path", exercise="row", mean_nm=41.2, low_nm=35.0, high_nm=48.0)
    assert path.cells[2] == "41.2 N (35.0-48.0)"


def _of_several(**second: object) -> CaseloadLine:
    """A client of two exercises in good order, of which the second is as told."""
    facts = {"days_a_week": 3, "first_session": date(2026, 11, 2), "last_seen": date(2026, 11, 24), "pain": 1}
    left = {"folder": "two", "name": "left", "side": "left", "exercise": "external_rotation", "mean_nm": 2.0, **facts}
    right = {"folder": "two", "name": "row", "side": "right", "exercise": "row", "mean_nm": 9.0, **facts, **second}
    each = tuple(map(ClientSummary.model_validate, (left, right)))
    return caseload_line(
        each[0].model_copy(update={"exercises": each, "name": None}), LineSources(_NEEDS, shipped(), TODAY)
    )


def test_several_exercises_are_one_line_with_the_needs_of_any_and_the_state_of_the_worst() -> None:
    quiet = _of_several()
    assert (quiet.needs, quiet.client.mean_nm, quiet.cells[1]) == ((), 2.0, "2 exercises")
    line = _of_several(status="review", rule="warning_sign", last_seen=date(2026, 10, 1))
    assert [need.name for need in line.needs] == ["warning_sign", "not_seen"]
    assert (line.client.status, line.client.mean_nm, line.cells[2]) == ("review", 9.0, "9.0 N")
    assert line.cells[0] == "1 d"
    assert [one.needs_text for one in line.exercises] == [(), ("warning sign", "not seen")]
    assert sorted_lines([quiet, line], "need") == [line, quiet]


def test_one_complete_exercise_of_two_is_no_complete_programme() -> None:
    assert _of_several(status="complete").needs == ()
    assert _of_several(status="complete").client.status == "active"
    both = ClientSummary(folder="both", name="left", side="left", exercise="row", status="complete")
    client = both.model_copy(update={"name": None, "exercises": (both, both.model_copy(update={"name": "right"}))})
    assert [need.name for need in caseload_line(client, LineSources(_NEEDS, shipped(), TODAY)).needs] == ["complete"]


def test_each_exercise_is_found_and_says_why_it_may_not_be_done() -> None:
    line = _of_several(no_session="No band is heavy enough.")
    assert search_lines([line], "row right") == [line]
    assert search_lines([line], "external left") == [line]
    assert [need.name for need in line.needs] == ["may_not_start"]
    assert no_session_texts(line) == [("two, Pulling to the side (row), right", "No band is heavy enough.")]
    assert "that needs you most" in legend_text([line], ("mean",), shipped())
    assert "that needs you most" not in legend_text(LINES, ("mean",), shipped())

"""Answers in large letters: each once, with its key in a block, and below one another where there are rows for it."""

from coach.drawing.block_lines import ROWS_A_LINE
from coach.drawing.cells.large_answers import large_answers

ANSWERS = [("0", "never"), ("1", "once"), ("2", "more than once"), ("u", "not sure")]


def test_each_answer_has_a_row_of_its_own_where_there_are_rows() -> None:
    drawn = large_answers(ANSWERS, 115, 1 + 4 * ROWS_A_LINE)
    assert drawn is not None
    assert [place.row for place in drawn.places] == [1, 5, 9, 13]
    assert {place.column for place in drawn.places} == {0}
    assert len(drawn.rows) == 17
    assert drawn.rows[0].strip() == "▄" * 9, "a blank row above, but for the edge of the first key"


def test_where_rows_are_few_answers_share_one_and_none_is_cut() -> None:
    drawn = large_answers(ANSWERS, 75, 1 + 3 * ROWS_A_LINE)
    assert drawn is not None
    assert [place.row for place in drawn.places] == [1, 1, 5, 9]
    assert all(place.column + place.columns <= 75 for place in drawn.places)
    assert drawn.places[1].column > drawn.places[0].column + drawn.places[0].columns
    assert all(len(row) <= 75 for row in drawn.rows)
    assert large_answers(ANSWERS, 75, 2 * ROWS_A_LINE) is None
    assert large_answers(ANSWERS, 30, 40) is None


def test_the_key_is_cut_out_of_its_block() -> None:
    drawn = large_answers([("1", "i")], 40, 5)
    assert drawn is not None
    cap = [row[:9] for row in drawn.rows]
    assert cap == ["▄▄▄▄▄▄▄▄▄", "███▀ ████", "██▄█ ████", "████ ████", "██▄▄▄▄▄██"]

"""Large letters: of the size promised, all different, of even thickness."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.drawing.large_letters import big, dot_columns_for, scale_for, width

ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÜÉÈÀÇÑ0123456789/.:"


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12), st.integers(7, 40))
def test_rows_are_as_many_and_as_long_as_promised(text: str, rows: int) -> None:
    drawn = big(text, rows)
    scale = scale_for(rows)
    assert len(drawn) == 7 * scale <= rows < 7 * (scale + 1)
    assert {len(row) for row in drawn} == {width(text, scale)}
    assert set("".join(drawn)) <= {"█", " "}


def test_every_character_has_a_shape_of_its_own() -> None:
    assert len({big(character, 7) for character in ALPHABET}) == len(ALPHABET)
    for character in ALPHABET:
        assert big(character, 7) != big("?", 7)


@pytest.mark.parametrize("character", ALPHABET)
def test_strokes_are_one_dot_thick_at_every_scale(character: str) -> None:
    for scale in (1, 2, 3):
        for row in big(character, 7 * scale):
            for run in re.findall("█+", row):
                assert len(run) % (2 * scale) == 0
    assert big(character, 14) == tuple("".join(cell * 2 for cell in row) for row in big(character, 7) for _ in "12")


def test_one_letter_as_it_looks() -> None:
    assert big("H", 7) == (
        "██      ██",
        "██      ██",
        "██      ██",
        "██████████",
        "██      ██",
        "██      ██",
        "██      ██",
    )


def test_a_count_does_not_jump() -> None:
    assert len({width(digit, 1) for digit in "0123456789"}) == 1


def test_small_letters_accents_and_strangers() -> None:
    assert big("hold", 7) == big("HOLD", 7)
    assert big("ß", 7) == big("SS", 7)
    assert big("A\u0308", 7) == big("Ä", 7)
    assert big("Ś", 7) == big("S", 7)
    assert big("漢", 7) == big("?", 7)
    assert big("", 7) == ("",) * 7


def test_fewer_than_seven_rows_are_refused() -> None:
    with pytest.raises(ValueError, match="at least 7 rows, not 6"):
        big("A", 6)


def test_a_dot_may_be_narrower_than_it_is_high_and_no_text_is_cut() -> None:
    """Where a window is narrow the height stays, and with it how far away the letters can be read."""
    words = ("HOLD 2", "EASE 10")
    for columns in range(39, 200):
        dot_columns = dot_columns_for(words, columns, 14)
        drawn = [big(word, 14, dot_columns) for word in words]
        assert {len(rows) for rows in drawn} == {14}
        assert max(len(rows[0]) for rows in drawn) <= columns
        assert dot_columns == 4 or max(len(big(word, 14, dot_columns + 1)[0]) for word in words) > columns
    assert dot_columns_for(words, 20, 7) == 0

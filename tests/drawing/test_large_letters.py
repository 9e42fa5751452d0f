"""Large letters: of the size promised, all different, of even thickness."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.drawing.large_letters import dot_columns_for, large_text, scale_for, width_in_dots

ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÜÉÈÀÇÑ0123456789/.:"


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12), st.integers(7, 40))
def test_rows_are_as_many_and_as_long_as_promised(text: str, rows: int) -> None:
    drawn = large_text(text, rows)
    scale = scale_for(rows)
    assert len(drawn) == 7 * scale <= rows < 7 * (scale + 1)
    assert {len(row) for row in drawn} == {width_in_dots(text) * 2 * scale}
    assert set("".join(drawn)) <= {"█", " "}


def test_every_character_has_a_shape_of_its_own() -> None:
    assert len({large_text(character, 7) for character in ALPHABET}) == len(ALPHABET)
    for character in ALPHABET:
        assert large_text(character, 7) != large_text("?", 7)


@pytest.mark.parametrize("character", ALPHABET)
def test_strokes_are_one_dot_thick_at_every_scale(character: str) -> None:
    for scale in (1, 2, 3):
        for row in large_text(character, 7 * scale):
            for run in re.findall("█+", row):
                assert len(run) % (2 * scale) == 0
    assert large_text(character, 14) == tuple(
        "".join(cell * 2 for cell in row) for row in large_text(character, 7) for _ in "12"
    )


def test_one_letter_as_it_looks() -> None:
    assert large_text("H", 7) == (
        "██      ██",
        "██      ██",
        "██      ██",
        "██████████",
        "██      ██",
        "██      ██",
        "██      ██",
    )


def test_a_count_does_not_jump() -> None:
    assert len({width_in_dots(digit) for digit in "0123456789"}) == 1


def test_small_letters_accents_and_strangers() -> None:
    assert large_text("hold", 7) == large_text("HOLD", 7)
    assert large_text("ß", 7) == large_text("SS", 7)
    assert large_text("A\u0308", 7) == large_text("Ä", 7)
    assert large_text("Ś", 7) == large_text("S", 7)
    assert large_text("漢", 7) == large_text("?", 7)
    assert large_text("", 7) == ("",) * 7


def test_fewer_than_seven_rows_are_refused() -> None:
    with pytest.raises(ValueError, match="at least 7 rows, not 6"):
        large_text("A", 6)


def test_a_dot_may_be_narrower_than_it_is_high_and_no_text_is_cut() -> None:
    """Where a window is narrow the height stays, and with it how far away the letters can be read."""
    words = ("HOLD 2", "EASE 10")
    for columns in range(39, 200):
        dot_columns = dot_columns_for(words, columns, 14)
        drawn = [large_text(word, 14, dot_columns) for word in words]
        assert {len(rows) for rows in drawn} == {14}
        assert max(len(rows[0]) for rows in drawn) <= columns
        assert dot_columns == 4 or max(len(large_text(word, 14, dot_columns + 1)[0]) for word in words) > columns
    assert dot_columns_for(words, 20, 7) == 0

"""Letters less than four rows high: as the large ones dot by dot, wrapped between words, or not at all."""

from coach.drawing.block_lines import LETTER_ROWS, ROWS_A_LINE, block_lines
from coach.drawing.large_letters import large_text, letter_rows, width_in_dots
from coach.drawing.letter_shapes import DOTS_HIGH, LETTERS

# The four quarters of each block character, upper left, upper right, lower left, lower right: the Unicode chart
# "Block Elements", U+2580 to U+259F, from memory.
QUARTERS = dict(
    zip(
        " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█",
        (
            *("    ", "#   ", " #  ", "##  ", "  # ", "# # ", " ## ", "### "),
            *("   #", "#  #", " # #", "## #", "  ##", "# ##", " ###", "####"),
        ),
        strict=True,
    )
)


def _dots(rows: tuple[str, ...], narrow: bool) -> list[str]:
    """The dots that the cells show, row by row."""
    found: list[str] = []
    for row in rows:
        quarters = [QUARTERS[cell] for cell in row]
        for upper in (0, 2):
            found.append("".join(one[upper : upper + 2] if narrow else one[upper] for one in quarters))
    return found


def test_the_dots_are_those_of_the_large_letters_at_both_widths() -> None:
    wanted = [row.replace(".", " ").rstrip() for row in letter_rows("Keep it")]
    for columns, narrow in ((60, False), (25, True)):
        drawn = block_lines([["Keep", "it"]], columns, ROWS_A_LINE)
        assert drawn is not None
        assert len(drawn) == ROWS_A_LINE
        assert [row.rstrip() for row in _dots(drawn, narrow)][:DOTS_HIGH] == wanted
        assert _dots(drawn, narrow)[DOTS_HIGH].strip() == ""
    assert LETTER_ROWS == DOTS_HIGH / 2


def test_a_line_that_just_fits_is_no_wider_than_the_room() -> None:
    """One of 75 dots was drawn on 76 columns, and wrapped: a blank row after each of its rows."""
    words = ["Set", "done.", "Come"]
    dots = width_in_dots(" ".join(words))
    for columns, narrow in ((dots, False), ((dots + 1) // 2, True)):
        drawn = block_lines([words], columns, ROWS_A_LINE, (narrow,))
        assert drawn is not None
        assert {len(row) for row in drawn} == {columns}


def test_words_are_wrapped_whole_and_paragraphs_begin_a_line() -> None:
    drawn = block_lines([["one", "two"], ["n: no"]], 40, 12)
    assert drawn is not None
    assert len(drawn) == 2 * ROWS_A_LINE


def test_what_does_not_fit_is_not_drawn_at_all() -> None:
    assert block_lines([["word"] * 9], 40, 2 * ROWS_A_LINE) is None
    assert block_lines([["unbreakable"]], 20, 40) is None


def test_every_mark_of_a_question_has_a_shape_of_its_own() -> None:
    """An answer of one word after a colon, a comma, an apostrophe, a hyphen: none becomes a question mark."""
    marks = ",'-():!;=."
    assert all(LETTERS[mark] != LETTERS["?"] for mark in marks)
    assert len({LETTERS[mark] for mark in marks}) == len(marks)
    assert large_text("it's", 7) != large_text("it?s", 7)

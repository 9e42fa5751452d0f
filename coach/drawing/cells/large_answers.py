"""Answers in letters as high as those of block_lines, each after its key, which is cut out of a filled block."""

from collections.abc import Sequence

from msgspec import Struct

from coach.drawing.block_lines import ROWS_A_LINE, cell_rows
from coach.drawing.large_letters import letter_rows, width_in_dots
from coach.drawing.letter_shapes import DOTS_HIGH

_EDGE, _AFTER_KEY, _BETWEEN = 2, 4, 10  # in dots: beside a key, before the word, and between two answers on a line
_DOTS_A_LINE = DOTS_HIGH + 1


class AnswerPlace(Struct, frozen=True):
    """Where an answer stands: its first row of the large ones, and its columns."""

    row: int
    column: int
    columns: int


class LargeAnswers(Struct, frozen=True):
    """The rows of cells, of which the first holds only the edges of keys, and the place of each answer."""

    rows: tuple[str, ...]
    places: tuple[AnswerPlace, ...]


def large_answers(answers: Sequence[tuple[str, str]], columns: int, rows: int) -> LargeAnswers | None:
    """Draw each key with its word, on a row of its own where the rows allow it; None where nothing fits."""
    for narrow in (False, True):
        dots = columns * (2 if narrow else 1)
        for places in (_below_one_another(answers), _packed(answers, dots)):
            lines = 1 + places[-1][1]
            wide = all(at + _width(*answer) <= dots for answer, (at, _) in zip(answers, places, strict=True))
            if wide and 1 + lines * ROWS_A_LINE <= rows:
                return _drawn(answers, places, dots, narrow)
    return None


def _width(key: str, word: str) -> int:
    return width_in_dots(key) + 2 * _EDGE + _AFTER_KEY + width_in_dots(word)


def _below_one_another(answers: Sequence[tuple[str, str]]) -> list[tuple[int, int]]:
    return [(0, line) for line in range(len(answers))]


def _packed(answers: Sequence[tuple[str, str]], dots: int) -> list[tuple[int, int]]:
    """The first dot and the line of each answer, in as few lines as possible."""
    places: list[tuple[int, int]] = []
    end, line = 0, 0
    for answer in answers:
        at = end + _BETWEEN if places else 0
        if places and at + _width(*answer) > dots:
            at, line = 0, line + 1
        places.append((at, line))
        end = at + _width(*answer)
    return places


def _drawn(
    answers: Sequence[tuple[str, str]], places: Sequence[tuple[int, int]], dots: int, narrow: bool
) -> LargeAnswers:
    # A blank row of two dots above: the edge of a key is as thick as one dot, and is above its letters.
    grid = [[False] * dots for _ in range(2 + _DOTS_A_LINE * (1 + places[-1][1]))]
    found = []
    for (key, word), (at, line) in zip(answers, places, strict=True):
        top, cap = 2 + line * _DOTS_A_LINE, width_in_dots(key) + 2 * _EDGE
        for row in grid[top - 1 : top + _DOTS_A_LINE]:
            row[at : at + cap] = [True] * cap
        _write(grid, key, top, at + _EDGE, ink=False)
        _write(grid, word, top, at + cap + _AFTER_KEY, ink=True)
        a_cell = 2 if narrow else 1
        found.append(AnswerPlace(1 + line * ROWS_A_LINE, at // a_cell, _width(key, word) // a_cell))
    return LargeAnswers(tuple(cell_rows(grid, narrow)), tuple(found))


def _write(grid: list[list[bool]], text: str, top: int, left: int, ink: bool) -> None:
    for row, dots in zip(grid[top : top + DOTS_HIGH], letter_rows(text), strict=True):
        for column, dot in enumerate(dots, left):
            if dot == "#":
                row[column] = ink

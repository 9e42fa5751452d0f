"""Plots: to scale, told apart without colour, the same in every set of signs, and complete in 60 columns."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.drawing.cells.signs import QUADRANTS, SIGN_SETS
from coach.drawing.plots.axes import even_ticks, numeric_axis, ticks
from coach.drawing.plots.plot import CurveRole, Line, Marks, Plot, Spread
from coach.drawing.plots.plot_rows import plot_ink, plot_lines, plot_paint
from tests.screens.capture import without_drawings

TENTH = numeric_axis((0.0, 5.0, 10.0), "")
SIZES = [(60, 12), (76, 18), (110, 30)]


def canvas(rows: list[str], columns: int) -> list[str]:
    """What is right of the vertical axis."""
    return [
        re.split("[│┤]", row, maxsplit=1)[1].ljust(columns)
        for row in rows
        if "└" not in row and re.search("[│┤]", row)
    ]


def drawn(plot: Plot, columns: int = 60, rows: int = 16) -> list[str]:
    lines = plot_lines(plot, columns, rows)
    return canvas(lines, columns - re.search("[│┤]", lines[0]).end())  # type: ignore[union-attr]


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_a_straight_line_runs_from_corner_to_corner(columns: int, rows: int) -> None:
    inside = drawn(Plot(TENTH, TENTH, lines=(Line(((0.0, 0.0), (10.0, 10.0))),)), columns, rows)
    assert len(inside) == (rows - 3) // 2 * 2 + 1, "from label to label there are as many rows each time"
    assert inside[-1][0] not in " ·"
    assert inside[0][-1] not in " ·"
    ends = [len(row.replace("·", " ").rstrip()) for row in inside]
    assert ends == sorted(ends, reverse=True)


@pytest.mark.parametrize("y", [0.0, 2.0, 5.0, 10.0])
def test_a_point_stands_at_its_height(y: float) -> None:
    inside = drawn(Plot(TENTH, TENTH, marks=(Marks(((5.0, y),), "●"),)), 60, 23)
    (row,) = [number for number, text in enumerate(inside) if "●" in text]
    assert (len(inside) - 1 - row) / (len(inside) - 1) * 10 == pytest.approx(y, abs=10 / len(inside))
    assert inside[row].index("●") == pytest.approx(len(inside[row]) / 2, abs=1)


def test_what_is_outside_the_axes_is_left_out() -> None:
    outside = ((-1.0, 5.0), (11.0, 5.0), (5.0, -1.0), (5.0, 11.0))
    text = "".join(drawn(Plot(TENTH, TENTH, marks=(Marks(outside, "●"), Marks(((5.0, 5.0),), "■")))))
    assert text.count("■") == 1
    assert "●" not in text


def test_the_kinds_of_line_differ_by_their_gaps_and_not_by_colour() -> None:
    roles: tuple[CurveRole, ...] = ("curve", "curve_dashed", "curve_dotted")
    inked = []
    for role in roles:
        (row,) = [
            one
            for one in drawn(Plot(TENTH, TENTH, lines=(Line(((0.0, 4.0), (10.0, 4.0)), role),)))
            if set(one) & set("▀▄")
        ]
        parts = sum(QUADRANTS.signs.index(sign).bit_count() for sign in row if sign in QUADRANTS.signs)
        inked.append(parts / 2 / len(row))
    assert inked[0] == 1.0
    assert inked[1] - inked[2] > 0.15
    assert inked[0] - inked[1] > 0.15


def test_where_curves_meet_the_solid_one_is_whole() -> None:
    solid, dashed = Line(((0.0, 4.0), (10.0, 4.0))), Line(((0.0, 4.2), (10.0, 3.8)), "curve_dashed")
    alone = [row for row in drawn(Plot(TENTH, TENTH, lines=(solid,))) if "▄" in row or "▀" in row]
    both = drawn(Plot(TENTH, TENTH, lines=(solid, dashed)))
    assert alone[0] in both


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_the_spread_lies_between_its_edges_and_leaves_the_rest_free(columns: int, rows: int) -> None:
    spread = Spread(((0.0, 2.0, 4.0), (10.0, 6.0, 8.0)))
    inside = drawn(Plot(TENTH, TENTH, (spread,)), columns, rows)
    wide, high = len(inside[0]), len(inside)
    for row, text in enumerate(inside):
        for column, sign in enumerate(text):
            x, y = 10 * column / (wide - 1), 10 * (high - 1 - row) / (high - 1)
            inside_by = min(y - (2 + 0.4 * x), (4 + 0.4 * x) - y) * (high - 1) / 10  # rows
            assert sign == "░" if inside_by > 1 else True, (row, column)
            assert sign != "░" if inside_by < -1 else True, (row, column)


def test_names_stand_at_the_ends_of_their_lines_each_on_a_row_of_its_own() -> None:
    lines = tuple(
        Line(((0.0, 1.0), (10.0, 5.0 + step / 100)), name=name) for step, name in enumerate(("low", "mid", "high"))
    )
    rows = plot_lines(Plot(TENTH, TENTH, lines=lines), 60, 16)
    at = [number for name in ("high", "mid", "low") for number, row in enumerate(rows) if row.endswith(f" {name}")]
    assert at == [at[0], at[0] + 1, at[0] + 2]


@pytest.mark.parametrize("steps", [2, 3, 5, 6])
@pytest.mark.parametrize("rows", [10, 13, 16])
@pytest.mark.parametrize("columns", [60, 71, 80])
def test_labels_at_equal_steps_stand_at_equal_distances(columns: int, rows: int, steps: int) -> None:
    """On both axes, and each label below the axis in the middle of its mark."""
    days = {float(day * 3): f"2026-07-{day * 3 + 1:02}" for day in range(steps + 1)}
    values = numeric_axis([5.0 * step for step in range(steps + 1)], "")
    lines = plot_lines(Plot(days, values, lines=(Line(((0.0, 0.0), (3.0 * steps, 5.0 * steps))),)), columns, rows)
    labelled = [number for number, row in enumerate(lines) if "┤" in row]
    assert len({after - before for before, after in pairwise(labelled)}) == 1
    assert labelled[0] == 0
    assert len(labelled) == steps + 1
    marks = [at for at, sign in enumerate(lines[-2]) if sign == "┬"]
    assert len({after - before for before, after in pairwise(marks)}) == 1
    middles = [label.start() + 5 for label in re.finditer(r"\S+", lines[-1])]
    assert set(middles) <= set(marks)
    assert {marks[0], marks[-1]} <= set(middles)
    assert max(map(len, lines)) <= columns


@pytest.mark.parametrize("columns", [60, 61, 80, 120])
def test_no_row_is_too_wide_and_the_first_and_the_last_label_are_whole(columns: int) -> None:
    days = {float(day): f"2026-07-{day:02}" for day in range(1, 32, 3)}
    rows = plot_lines(Plot(days, TENTH, lines=(Line(((1.0, 0.0), (31.0, 9.0)), name="named"),)), columns, 14)
    assert max(map(len, rows)) <= columns
    assert {"2026-07-01", "2026-07-31"} <= set(rows[-1].split())
    assert all(re.fullmatch(r"2026-07-\d\d", label) for label in rows[-1].split())


@pytest.mark.parametrize("signs", SIGN_SETS)
def test_every_set_of_signs_says_the_same_with_colour_and_without(signs: str) -> None:
    plot = Plot(
        TENTH,
        TENTH,
        (Spread(((0.0, 2.0, 4.0), (10.0, 6.0, 8.0))),),
        (Line(((0.0, 3.0), (10.0, 7.0))),),
        (Marks(((0.0, 3.0), (10.0, 7.0)), "●"),),
    )
    one, other = (
        ["".join(text for text, _ in row) for row in draw(plot, 60, 14, SIGN_SETS[signs])]  # type: ignore[index]
        for draw in (plot_ink, plot_paint)
    )
    assert {len(row) for row in (*one, *other)} == {60}
    assert without_drawings("\n".join(one)) == without_drawings("\n".join(other))
    assert "".join(one).count("●") == 2


def test_so_many_labels_that_most_rows_are_used() -> None:
    """Six steps would leave five of twelve rows without use."""
    assert even_ticks(0.0, 5.8, 7, 14) == (0.0, 2.0, 4.0, 6.0)
    assert ticks(0.0, 5.8, 7) == (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
    assert even_ticks(0.0, 5.8, 7, 15) == ticks(0.0, 5.8, 7)


@given(low=st.floats(-1000, 1000), span=st.floats(0, 2000), most=st.integers(3, 12))
def test_ticks_are_round_even_and_round_the_values(low: float, span: float, most: int) -> None:
    found = ticks(low, low + span, most)
    step = found[1] - found[0]
    assert 2 <= len(found) <= most
    assert found[0] <= low + 1e-6
    assert found[-1] >= low + span - 1e-6
    assert [after - before for before, after in pairwise(found)] == pytest.approx([step] * (len(found) - 1))
    assert f"{step:.6e}"[0] in "125"
    assert f"{step:.6e}"[1:8] == ".000000"

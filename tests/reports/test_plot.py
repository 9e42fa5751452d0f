"""Curves in characters: to scale, told apart without colour, the same in every terminal."""

import subprocess
import sys
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.reports.text.plot import SOLID, Curve, plot, sample, ticks


def canvas(rows: list[str]) -> list[str]:
    """The inside of the frame."""
    inside = [row for row in rows if row.rstrip().endswith("│")]
    edge = max(row.index("┌") for row in rows if "┌" in row)
    return [row[edge + 1 : -1] for row in inside]


def test_a_straight_line_runs_from_corner_to_corner() -> None:
    line = Curve((0.0, 10.0), (0.0, 10.0), "x")
    inside = canvas(plot([line], 60, 16, (0.0, 10.0)))
    columns = [row.index("x") for row in inside]
    assert inside[-1][0] == "x"
    assert inside[0][-1] == "x"
    assert columns == sorted(columns, reverse=True)


@pytest.mark.parametrize("y", [0.0, 2.0, 5.0, 10.0])
def test_a_point_stands_at_its_height(y: float) -> None:
    frame = Curve((0.0, 10.0), (0.0, 10.0), ".", joined=False)
    inside = canvas(plot([frame, Curve((5.0,), (y,), "O", joined=False)], 60, 23, (0.0, 10.0)))
    (row,) = [number for number, text in enumerate(inside) if "O" in text]
    height = (len(inside) - 1 - row) / (len(inside) - 1) * 10
    assert height == pytest.approx(y, abs=10 / len(inside))
    assert inside[row].index("O") == pytest.approx(len(inside[row]) / 2, abs=1)


def test_the_frame_goes_as_far_as_its_values_not_only_as_the_curve() -> None:
    half = Curve((0.0, 5.0), (0.0, 10.0), "x")
    inside = canvas(plot([half], 60, 16, (0.0, 10.0)))
    assert max(row.rindex("x") for row in inside if "x" in row) == pytest.approx(len(inside[0]) / 2, abs=1)


def test_the_last_curve_covers_the_others_and_each_has_its_own_mark() -> None:
    flat, x = (3.0, 3.0), (0.0, 10.0)
    rows = plot([Curve(x, (1.0, 1.0), "+"), Curve(x, flat, "·"), Curve(x, flat, SOLID)], 60, 16, x)
    text = "".join(canvas(rows))
    assert "+" in text
    assert "·" not in text
    assert set("▀▄▚▞") & set(text)
    assert len({sample("+"), sample("·"), sample(SOLID)}) == 3


def test_there_is_no_colour_and_no_trace_of_the_plot_before() -> None:
    line = Curve((0.0, 10.0), (0.0, 10.0), SOLID)
    first = plot([line], 60, 16, (0.0, 10.0))
    plot([Curve((-5.0, 99.0), (7.0, 3.0), "x")], 30, 9, (-5.0, 99.0))
    assert plot([line], 60, 16, (0.0, 10.0)) == first
    assert "\x1b" not in "".join(first)
    assert max(map(len, first)) == 60


@pytest.mark.parametrize(
    "environment", [{"COLUMNS": "20", "LINES": "5"}, {"NO_COLOR": "1"}, {"TERM": "dumb"}, {"COLUMNS": "300"}]
)
def test_the_window_has_no_say_in_it(environment: dict[str, str]) -> None:
    program = (
        "from coach.reports.text.plot import Curve, plot\n"
        "print('\\n'.join(plot([Curve((0.0, 9.0), (1.0, 4.0), 'x')], 70, 14, (0.0, 9.0))))"
    )
    shown = subprocess.run(
        [sys.executable, "-c", program],
        env={"PYTHONPATH": ":".join(sys.path), "PYTHONIOENCODING": "utf-8", **environment},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    ).stdout
    assert shown.rstrip("\n").split("\n") == plot([Curve((0.0, 9.0), (1.0, 4.0), "x")], 70, 14, (0.0, 9.0))


@given(
    low=st.floats(-1000, 1000),
    span=st.floats(0, 2000),
    most=st.integers(3, 12),
)
def test_ticks_are_round_even_and_round_the_values(low: float, span: float, most: int) -> None:
    found = ticks(low, low + span, most)
    step = found[1] - found[0]
    assert 2 <= len(found) <= most
    assert found[0] <= low + 1e-6
    assert found[-1] >= low + span - 1e-6
    assert [after - before for before, after in pairwise(found)] == pytest.approx([step] * (len(found) - 1))
    assert f"{step:.6e}"[0] in "125"
    assert f"{step:.6e}"[1:8] == ".000000"

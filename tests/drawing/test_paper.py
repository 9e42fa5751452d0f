"""Drawings that share a column of paper: one scale, one under the other."""

import pytest

from coach.drawing.paper import Paper, stacked
from coach.drawing.scene import from_above, from_the_side
from tests.drawing.drawn_setups import POSITIONS, setup_at


def column(position: str, width_mm: float = 70, height_mm: float = 95) -> tuple[Paper, ...]:
    setup = setup_at(position, distance_cm=140, height_cm=80)
    return stacked((from_above(setup, "right"), from_the_side(setup, "right")), width_mm, height_mm, cell_mm=2.2)


def across_mm(paper: Paper, role: str) -> float:
    (line,) = (line for line in paper.lines if line.role == role)
    return line.points[-1][0]


@pytest.mark.parametrize("position", POSITIONS)
def test_they_have_one_scale_and_stand_below_each_other(position: str) -> None:
    above, beside = column(position)
    assert above.mm_a_metre == beside.mm_a_metre
    for role in ("anchor", "mark", "band_end"):
        assert across_mm(above, role) == pytest.approx(across_mm(beside, role))
    assert abs(across_mm(above, "band_end") - across_mm(above, "mark")) == pytest.approx(1.40 * above.mm_a_metre)


@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("size_mm", [(70.0, 95.0), (40.0, 200.0), (300.0, 60.0)])
def test_nothing_leaves_its_box_and_the_boxes_fit(position: str, size_mm: tuple[float, float]) -> None:
    papers = column(position, *size_mm)
    assert sum(paper.height_mm for paper in papers) <= size_mm[1]
    for paper in papers:
        assert paper.width_mm <= size_mm[0]
        for line in paper.lines:
            half = line.width_mm / 2
            assert all(half <= x <= paper.width_mm - half for x, _ in line.points)
            assert all(half <= y <= paper.height_mm - half for _, y in line.points)


def test_the_scale_bar_stands_under_the_last_alone() -> None:
    above, beside = column("0")
    assert all(line.role != "scale" for line in above.lines)
    (bar,) = (line for line in beside.lines if line.role == "scale")
    assert bar.points[2][0] - bar.points[1][0] == pytest.approx(0.5 * beside.mm_a_metre)


def test_a_column_too_low_is_refused() -> None:
    with pytest.raises(ValueError, match="2 drawings do not fit into 70 by 20 mm"):
        column("0", height_mm=20)

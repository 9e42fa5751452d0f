"""The right form and the wrong one differ at a glance, in the size that they have in a window of 80 by 24."""

import pytest

from coach.drawing.lesson import MOVED_ARMS, lesson_scene
from coach.drawing.raster import plain_rows
from coach.drawing.shapes import Stroke
from coach.model.content_entries import WrongForm
from tests.drawing.drawn_setups import setup_at

_COLUMNS, _ROWS = 38, 11
_BLADE: tuple[WrongForm, ...] = ("shoulder_back", "shoulder_forward")
_AT_A_GLANCE = 0.25  # of the cells with anything in them; ours


@pytest.mark.parametrize("wrong", _BLADE)
@pytest.mark.parametrize("position", ["0", "45", "90"])
@pytest.mark.parametrize("fraction", [0.5, 1.0])
def test_a_quarter_of_the_drawing_is_another_where_the_blade_moves(
    wrong: WrongForm, position: str, fraction: float
) -> None:
    setup = setup_at(position, distance_cm=85)
    right, other = (
        "".join(plain_rows(lesson_scene(setup, "right", fraction, wrong, faulty), _COLUMNS, _ROWS))
        for faulty in (False, True)
    )
    inked = [pair for pair in zip(right, other, strict=True) if pair != (" ", " ")]
    assert sum(one != two for one, two in inked) >= _AT_A_GLANCE * len(inked)


@pytest.mark.parametrize("wrong", MOVED_ARMS)
def test_a_thin_line_shows_where_the_arm_should_be(wrong: WrongForm) -> None:
    setup = setup_at("0", distance_cm=85)
    right, other = (lesson_scene(setup, "right", 1.0, wrong, faulty).strokes for faulty in (False, True))
    arm = next(stroke for stroke in right if stroke.role == "arm_now")
    assert Stroke("facing", arm.points) in other
    assert Stroke("facing", arm.points) not in right

"""The right form and the wrong one differ at a glance, in the size that they have in a window of 80 by 24."""

import math
from typing import get_args

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
def test_a_dashed_arm_shows_where_it_belongs_and_an_arrow_leads_to_where_it_went(wrong: WrongForm) -> None:
    setup = setup_at("0", distance_cm=85)
    right, other = (lesson_scene(setup, "right", 1.0, wrong, faulty).strokes for faulty in (False, True))
    arm = next(one for one in right if one.role == "arm_now")
    assert Stroke("should", arm.points) in other
    assert not {"should", "moved"} & {stroke.role for stroke in right}
    shaft = next(stroke for stroke in other if stroke.role == "moved")
    start, tip = shaft.points
    assert any(math.dist(start, point) < 0.14 for point in arm.points), "at a joint, or beside the arm"
    assert math.dist(start, tip) > 0.06


@pytest.mark.parametrize("wrong", get_args(WrongForm))
@pytest.mark.parametrize("position", ["0", "45", "90"])
def test_the_part_that_goes_wrong_is_named_at_it_and_the_name_stands_still(wrong: WrongForm, position: str) -> None:
    setup = setup_at(position, distance_cm=85)
    for faulty in (False, True):
        rows = [
            plain_rows(lesson_scene(setup, "right", fraction, wrong, faulty), _COLUMNS, _ROWS, {"part": "the part"})
            for fraction in (0.0, 0.3, 0.8, 1.0)
        ]
        places = {
            next((at, row.find("the part")) for at, row in enumerate(drawn) if "the part" in row) for drawn in rows
        }
        assert len(places) == 1


@pytest.mark.parametrize("wrong", get_args(WrongForm))
def test_right_and_wrong_show_the_same_part_of_the_page_and_all_of_the_arm(wrong: WrongForm) -> None:
    setup = setup_at("0", distance_cm=85)
    scenes = [lesson_scene(setup, "right", at, wrong, faulty) for at in (0.0, 1.0) for faulty in (False, True)]
    assert len({(scene.low, scene.high) for scene in scenes}) == 1
    low, high = scenes[0].low, scenes[0].high
    arms = (point for scene in scenes for one in scene.strokes if one.role == "arm_now" for point in one.points)
    assert all(low[0] < x < high[0] and low[1] < y < high[1] for x, y in arms)

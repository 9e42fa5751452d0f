"""What the drawings of a setup and a lesson must show in every window: named things, whole arrows, hidden parts."""

from typing import get_args

import pytest
from msgspec.structs import replace

from coach.drawing.cells.setup_on_screen import arm_on_screen, place_on_screen
from coach.drawing.cells.signs import SIGN_SETS
from coach.drawing.figure import trunk_half_m
from coach.drawing.lesson import lesson_scene
from coach.drawing.moving_arm import arm_scene
from coach.drawing.projection import projection
from coach.drawing.raster import plain_rows, raster
from coach.drawing.shapes import LabelName, Role, Scene
from coach.model.content_entries import WrongForm
from coach.model.message_format import fill
from coach.model.option_names import SignSetName
from tests.drawing.drawn_setups import setup_at
from tests.plans import shipped

_SETUP = setup_at("0", distance_cm=85)
_SIZES = ((28, 12), (36, 18), (60, 34))  # beside the text in windows of 60, 80 and 120 columns
_WORDS: dict[LabelName, str] = {
    name: fill(text, {"distance_cm": 85, "anchor_height_cm": 105, "underfoot_cm": 0})
    for name, text in shipped().messages.client.drawing.items()
}
_PLACE, _ARM = place_on_screen(_SETUP, "right"), arm_on_screen(_SETUP, "right")


@pytest.mark.parametrize("size", _SIZES)
@pytest.mark.parametrize(
    ("scene", "named"),
    [
        (_PLACE, ("anchor, 105 cm high", "85 cm on the floor", "your mark", "you face this way")),
        (_ARM, ("anchor", "105 cm high", "85 cm on the floor", "your mark", "start, in front of you", "end")),
        (arm_scene(_SETUP, "right", 30.0, "from_above"), ("line",)),
    ],
)
def test_everything_that_a_drawing_is_about_is_named_in_every_window(
    scene: Scene, named: tuple[str, ...], size: tuple[int, int]
) -> None:
    text = "\n".join(plain_rows(scene, *size, _WORDS))
    assert [words for words in named if words not in text] == []


def _parts(scene: Scene, role: Role, size: tuple[int, int], name: SignSetName) -> set[tuple[int, int]]:
    """The inked parts of the strokes of a role, as row and column."""
    signs, parts = SIGN_SETS[name], set()
    scene = replace(scene, strokes=tuple(stroke for stroke in scene.strokes if stroke.role == role))
    for row, texts in enumerate(raster(scene, *size, dict.fromkeys(get_args(LabelName), ""), signs)):
        column = 0
        for text, _ in texts:
            for number, sign in enumerate(text, column):
                bits = signs.signs.index(sign)
                at = (divmod(bit, signs.across) for bit in range(signs.across * signs.down) if bits >> bit & 1)
                parts |= {(row * signs.down + y, number * signs.across + x) for y, x in at}
            column += len(text)
    return parts


def _is_whole(parts: set[tuple[int, int]]) -> bool:
    """Whether all parts hang together by an edge: those that touch at a corner look loose."""
    left, found = set(parts), [next(iter(parts))]
    while found:
        row, column = found.pop()
        near = {(row + 1, column), (row - 1, column), (row, column + 1), (row, column - 1), (row, column)} & left
        left -= near
        found += near
    return not left


@pytest.mark.parametrize("name", SIGN_SETS)
@pytest.mark.parametrize("size", [(28, 9), (38, 14), (58, 25)])
@pytest.mark.parametrize("wrong", ["shoulder_back", "shoulder_forward"])
def test_the_arrow_of_a_lesson_is_whole_and_has_a_head(
    wrong: WrongForm, size: tuple[int, int], name: SignSetName
) -> None:
    parts = _parts(lesson_scene(_SETUP, "right", 1.0, wrong, faulty=True), "moved", size, name)
    assert _is_whole(parts)
    wide = [len({column for at, column in parts if at == row}) for row in sorted({row for row, _ in parts})]
    across = SIGN_SETS[name].across
    assert (len(wide) >= 2 and max(wide) > across) or max(wide) >= 2 * across, "wider than its shaft"


@pytest.mark.parametrize("name", SIGN_SETS)
@pytest.mark.parametrize("size", _SIZES)
def test_the_arrow_that_says_where_to_face_is_whole(size: tuple[int, int], name: SignSetName) -> None:
    assert _is_whole(_parts(_PLACE, "facing", size, name))


def test_the_mark_is_between_the_feet_and_nothing_hides_it() -> None:
    (cross,) = (stroke for stroke in _PLACE.strokes if stroke.role == "mark")
    feet = sorted(stroke.points[0][0] for stroke in _PLACE.strokes if stroke.role == "feet")
    assert feet[0] < min(x for x, _ in cross.points) < 0 < max(x for x, _ in cross.points) < feet[-1]
    assert min(y for _, y in cross.points) < 0 < max(y for _, y in cross.points)
    assert "head" not in {stroke.role for stroke in _PLACE.strokes}


def test_what_the_trunk_hides_is_dashed_and_what_it_does_not_is_not() -> None:
    """From behind, the hand at the start is beyond the trunk."""
    page = projection(_SETUP, "right", "from_the_side")
    edge = page((0.0, trunk_half_m(_SETUP, _SETUP.start.hand_m[2]), 0.0))[0]
    across: dict[Role, list[float]] = {}
    for stroke in _ARM.strokes:
        arm = stroke.role in ("arm_start", "arm_now")  # of which only the forearm is level with the hand
        level = (x for x, y in stroke.points if not arm or y == _SETUP.start.hand_m[2])
        across.setdefault(stroke.role, []).extend(level)
    assert all(across[role] for role in ("band_start", "arm_start", "band_now", "arm_now"))
    assert all(abs(x) <= edge + 1e-9 for role in ("band_start", "arm_start") for x in across[role])
    assert all(abs(x) >= edge - 1e-9 for role in ("band_now", "arm_now") for x in across[role])
    inward = arm_on_screen(setup_at("0", distance_cm=85, direction="internal"), "right")
    assert "arm_start" not in {stroke.role for stroke in inward.strokes}, "its hand is out at the start"


def test_words_above_a_large_number_may_be_longer_than_it() -> None:
    """As for an anchor near the floor, in German."""
    words: dict[LabelName, str] = {**dict.fromkeys(get_args(LabelName), ""), "place": "Befestigung, 5 cm hoch"}
    rows = raster(_PLACE, 80, 30, words, large=True)
    assert any("Befestigung," in text for row in rows for text, _ in row)
    assert {sum(len(text) for text, _ in row) for row in rows} == {80}

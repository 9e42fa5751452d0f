"""The raster: to scale, told apart without colour, every word whole."""

import math
import re
from collections.abc import Callable, Generator
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.drawing.labels import cell_width
from coach.drawing.line_styles import LINE_STYLES
from coach.drawing.moving_arm import arm_scene
from coach.drawing.raster import painted, painted_in_steps, plain_rows, raster, raster_in_steps, steps_of
from coach.drawing.scene import from_above, from_the_side
from coach.drawing.shapes import Label, LabelName, Role, Scene, Side, Stroke
from tests.drawing.drawn_setups import POSITIONS, setup_at

WORDS: dict[LabelName, str] = {
    "anchor": "anchor, 105 cm high",
    "mark": "stand here",
    "start": "start",
    "end": "end",
    "facing": "face this way",
    "distance": "120 cm, 5 feet",
}
SIDES: tuple[Side, ...] = ("right", "left")
_QUARTERS = dict(zip(" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█", (0, 1, 1, 2, 1, 2, 2, 3, 1, 2, 2, 3, 2, 3, 3, 4), strict=True))
LABEL_NAMES: tuple[LabelName, ...] = get_args(LabelName)
NO_LABELS: dict[LabelName, str] = dict.fromkeys(LABEL_NAMES, "")


def line(role: Role, high: float = 1.0) -> Scene:
    """A level line three metres long in the middle of a scene."""
    return Scene((Stroke(role, ((0.0, 0.0), (3.0, 0.0))),), (), (0.0, -high / 2), (3.0, high / 2))


def inked(rows: tuple[str, ...]) -> list[str]:
    return [row for row in rows if row.strip()]


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40), (40, 20), (13, 5), (1, 1)])
@pytest.mark.parametrize("position", POSITIONS)
def test_every_row_has_every_cell(columns: int, rows: int, position: str) -> None:
    for draw in (from_above, from_the_side):
        drawn = plain_rows(draw(setup_at(position), "right"), columns, rows, WORDS)
        assert len(drawn) == rows
        assert {len(row) for row in drawn} == {columns}


def test_no_grid_without_a_cell() -> None:
    with pytest.raises(ValueError, match="at least one column and one row, not 0 by 5"):
        raster(line("mark"), 0, 5)


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40), (31, 30), (100, 9)])
def test_a_circle_is_twice_as_many_columns_wide_as_rows_high(columns: int, rows: int) -> None:
    disc = Scene((Stroke("arm_end", ((0.5, 0.5), (0.5, 0.5)), 1.0),), (), (0.0, 0.0), (1.0, 1.0))
    drawn = inked(plain_rows(disc, columns, rows))
    widest = max(len(row.strip()) for row in drawn)
    high = sum(0.5 if row.strip()[len(row.strip()) // 2] in "▄▀" else 1 for row in drawn)
    assert widest == pytest.approx(2 * high, abs=2)
    # As large as the grid allows: two cell widths or one row from an edge.
    assert widest >= columns - 3 or len(drawn) >= rows - 1


def test_the_distance_is_to_scale_with_the_anchor_height() -> None:
    # Side-on, 150 cm away, anchor 75 cm high: half as high as it is far, so as many rows as a quarter of the columns.
    setup = setup_at("0", distance_cm=150, height_cm=75)
    rows = raster(from_the_side(setup, "right"), 120, 40, NO_LABELS)
    places: dict[str, list[tuple[int, int]]] = {}
    for number, row in enumerate(rows):
        column = 0
        for text, role in row:
            places.setdefault(role, []).extend((number, column + index) for index in range(len(text)))
            column += len(text)

    def middle(role: Role) -> tuple[float, float]:
        found = places[role]
        return sum(row for row, _ in found) / len(found), sum(column for _, column in found) / len(found)

    anchor, mark = middle("anchor"), middle("mark")
    floor = max(row for row, _ in places["feet"])
    assert 2 * (floor - anchor[0]) == pytest.approx((mark[1] - anchor[1]) / 2, rel=0.12)


def test_start_is_broken_and_end_is_not() -> None:
    pairs: tuple[tuple[Role, Role], ...] = (("arm_start", "arm_end"), ("band_start", "band_end"))
    for start, end in pairs:
        broken = inked(plain_rows(line(start), 60, 9))[0].strip()
        whole = inked(plain_rows(line(end), 60, 9))[0].strip()
        assert len(re.findall(" +", broken)) >= 8
        assert " " not in whole


@pytest.mark.parametrize("high", [0.9, 1.0, 1.1, 1.2])
def test_the_arm_is_twice_as_thick_as_the_band(high: float) -> None:
    def quarters(role: Role) -> int:
        return sum(_QUARTERS[cell] for row in plain_rows(line(role, high), 60, 9) for cell in row)

    assert quarters("arm_end") == pytest.approx(2 * quarters("band_end"), rel=0.05)
    assert quarters("arm_start") > 1.5 * quarters("band_start")


def test_arms_bands_and_their_ends_all_look_different_without_colour() -> None:
    roles: tuple[Role, ...] = ("arm_start", "arm_end", "band_start", "band_end", "path")
    looks = {tuple(row.strip() for row in inked(plain_rows(line(role), 60, 9))) for role in roles}
    assert len(looks) == len(roles)
    surfaces = [style.shade for style in LINE_STYLES.values() if style.shade]
    assert len(set(surfaces)) == len(surfaces)


@pytest.mark.parametrize("width_m", [0.0, 0.1, 0.3, 0.6])
def test_a_broken_line_stays_broken_however_thick(width_m: float) -> None:
    scene = Scene((Stroke("arm_start", ((0.0, 0.0), (6.0, 0.0)), width_m),), (), (0.0, -1.0), (6.0, 1.0))
    middle = inked(plain_rows(scene, 120, 40))
    widest = max(middle, key=lambda row: row.count("█"))
    assert len(re.findall(" +", widest.strip())) >= 3


def test_cells_carry_the_role_on_top() -> None:
    scene = Scene(
        (Stroke("arm_end", ((0.0, 0.0), (2.0, 0.0))), Stroke("trunk", ((1.0, 0.0), (1.0, 0.0)), 1.0)),
        (Label("end", (2.0, 0.4)),),
        (0.0, -0.5),
        (2.0, 0.5),
    )
    roles = {role for row in raster(scene, 40, 10) for _, role in row}
    assert roles == {"arm_end", "trunk", "label", "empty"}
    crossing = next(row for row in raster(scene, 40, 10) if any(role == "arm_end" for _, role in row))
    assert not any(role == "trunk" for _, role in crossing)


@pytest.mark.parametrize(("columns", "rows"), [(120, 40), (80, 24), (80, 12), (40, 20)])
@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("side", SIDES)
def test_every_word_is_whole(columns: int, rows: int, position: str, side: Side) -> None:
    for draw in (from_above, from_the_side):
        scene = draw(setup_at(position, distance_cm=105, height_cm=95), side)
        drawn = raster(scene, columns, rows, WORDS)
        words = sorted(text for row in drawn for text, role in row if role == "label")
        assert words == sorted(WORDS[label.name] for label in scene.labels)


def test_words_keep_clear_of_lines_where_there_is_room() -> None:
    scene = Scene(line("arm_end").strokes, (Label("end", (3.0, 0.0)),), (0.0, -0.5), (3.0, 0.5))
    bare, named = plain_rows(line("arm_end"), 60, 9), plain_rows(scene, 60, 9)
    for before, after in zip(bare, named, strict=True):
        assert after.replace("end", "   ") == before


def test_a_word_that_cannot_be_whole_is_left_out() -> None:
    scene = Scene(line("mark").strokes, (Label("mark", (1.0, 0.0)),), (0.0, -0.5), (3.0, 0.5))
    assert not any("s" in row for row in plain_rows(scene, 8, 4, {"mark": "stand here"}))


def test_a_label_without_a_word_shows_its_name_and_an_empty_word_nothing() -> None:
    scene = Scene(line("mark").strokes, (Label("mark", (1.0, 0.0)),), (0.0, -0.5), (3.0, 0.5))
    assert any("mark" in row for row in plain_rows(scene, 40, 6))
    assert not any(role == "label" for row in raster(scene, 40, 6, {"mark": ""}) for _, role in row)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(LABEL_NAMES),
            st.tuples(st.floats(-1, 4), st.floats(-2, 2)),
        ),
        max_size=6,
        unique_by=lambda pair: pair[0],
    ),
    st.fixed_dictionaries({name: st.text("abcdeé漢字 \u0301", min_size=1, max_size=14) for name in LABEL_NAMES}),
    st.integers(1, 70),
    st.integers(1, 12),
)
def test_words_never_run_into_each_other_or_over_the_edge(
    places: list[tuple[LabelName, tuple[float, float]]], words: dict[LabelName, str], columns: int, rows: int
) -> None:
    labels = tuple(Label(name, at) for name, at in places)
    drawn = raster(Scene(line("band_end").strokes, labels, (0.0, -0.5), (3.0, 0.5)), columns, rows, words)
    wanted = [words[name] for name, _ in places]
    for row in drawn:
        assert sum(cell_width(text) for text, _ in row) == columns
        for text, role in row:
            if role == "label":
                # Neighbours of one role are one run, so two words that touch would be neither of them.
                assert text in wanted
                wanted.remove(text)


def test_wide_and_combining_characters_count_as_a_terminal_counts_them() -> None:
    assert (cell_width("end"), cell_width("漢字"), cell_width("e\u0301"), cell_width("")) == (3, 4, 1, 0)
    scene = Scene(line("mark").strokes, (Label("mark", (1.5, 0.2)),), (0.0, -0.5), (3.0, 0.5))
    named = next(row for row in plain_rows(scene, 40, 6, {"mark": "漢字"}) if "漢字" in row)
    assert len(named) == 38


def test_lines_that_share_cells_are_both_seen() -> None:
    # 18 cell widths to the metre on 20 by 10 cells: one line in the upper, one in the lower half of the fifth row.
    upper = Stroke("band_start", ((0.0, 0.5 + 1.5 / 18), (1.0, 0.5 + 1.5 / 18)))
    lower = Stroke("band_end", ((0.0, 0.5 + 0.5 / 18), (1.0, 0.5 + 0.5 / 18)))
    row = plain_rows(Scene((upper, lower), (), (0.0, 0.0), (1.0, 1.0)), 20, 10)[4]
    assert "▄" in row
    assert "█" in row


def test_what_lies_outside_the_corners_is_cut() -> None:
    scene = Scene((Stroke("band_now", ((-50.0, 0.5), (50.0, 0.5))),), (), (0.0, 0.0), (1.0, 1.0))
    drawn = plain_rows(scene, 30, 15)
    assert [len(row.strip()) for row in inked(drawn)] == [30] * len(inked(drawn))


def test_plain_rows_are_the_rows_without_roles() -> None:
    scene = from_above(setup_at("45"), "left")
    joined = tuple("".join(text for text, _ in row) for row in raster(scene, 80, 24, WORDS))
    assert plain_rows(scene, 80, 24, WORDS) == joined


def test_a_slanting_line_is_drawn_where_it_runs() -> None:
    # A diagonal of a square: on every row the ink is round the row's own share of the columns.
    scene = Scene((Stroke("band_end", ((0.0, 0.0), (1.0, 1.0))),), (), (0.0, 0.0), (1.0, 1.0))
    drawn = plain_rows(scene, 40, 20)
    for number, row in enumerate(drawn[1:-1], start=1):
        marks = [column for column, cell in enumerate(row) if cell != " "]
        assert math.isclose(sum(marks) / len(marks), 39 - 2 * number - 0.5, abs_tol=1.5)


@pytest.mark.parametrize("rows", range(20, 41))
def test_no_dot_of_a_dotted_line_is_lost_between_two_cells(rows: int) -> None:
    """A level dotted line shows its dots wherever it falls on the grid."""
    for place in range(40):
        level = 1.0 + place / 40
        scene = Scene((Stroke("ground", ((0.0, level), (3.0, level))),), (), (0.0, 0.0), (3.0, 3.0))
        assert sum(cell not in " " for row in plain_rows(scene, 80, rows) for cell in row) > 10


@pytest.mark.parametrize(("at_once", "in_steps"), [(raster, raster_in_steps), (painted, painted_in_steps)])
def test_a_drawing_in_steps_is_the_same_and_takes_as_many_as_it_says(
    at_once: Callable[..., object], in_steps: Callable[..., Generator[None, None, object]]
) -> None:
    scene = arm_scene(setup_at("0"), "right", 10.0, "from_above")
    steps, taken = in_steps(scene, 40, 11), 0
    drawn: object = None
    while drawn is None:
        try:
            next(steps)
            taken += 1
        except StopIteration as end:
            drawn = end.value
    assert drawn == at_once(scene, 40, 11)
    assert taken == steps_of(scene, 11)

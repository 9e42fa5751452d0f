"""The drawing for paper: every length against the scale bar."""

import math
import xml.etree.ElementTree as ET
from collections.abc import Mapping

import pytest

from coach.drawing.paper import SCALE_BAR_M, stacked
from coach.drawing.scene import from_above, from_the_side
from coach.drawing.shapes import NO_LABEL_TEXTS, LabelName, Scene
from coach.drawing.svg import svg_page
from tests.drawing.drawn_setups import LEVER_M, POSITIONS, setup_at

_SVG = "{http://www.w3.org/2000/svg}"
Points = list[tuple[float, float]]


def lines(document: str, role: str) -> list[Points]:
    return [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in element.attrib["points"].split())]
        for element in ET.fromstring(document).iter(f"{_SVG}polyline")
        if element.attrib["class"] == role
    ]


def page(
    scene: Scene,
    width_mm: float,
    height_mm: float,
    words: Mapping[LabelName, str] = NO_LABEL_TEXTS,
    title: str = "Setup",
) -> str:
    return svg_page(stacked((scene,), width_mm, height_mm, words), ("seen",), title)


def mm_a_metre(document: str) -> float:
    (bar,) = lines(document, "scale")
    return math.dist(bar[1], bar[2]) / SCALE_BAR_M


@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("size_mm", [(170.0, 110.0), (80.0, 80.0)])
def test_distance_and_height_are_as_long_as_the_scale_bar_says(position: str, size_mm: tuple[float, float]) -> None:
    setup = setup_at(position, distance_cm=140, height_cm=80)
    above = page(from_above(setup, "right"), *size_mm)
    (band,), (mark,) = lines(above, "band_end"), lines(above, "mark")
    assert abs(band[-1][0] - mark[0][0]) / mm_a_metre(above) == pytest.approx(1.40, abs=1e-3)
    beside = page(from_the_side(setup, "left"), *size_mm)
    (band,), (mark,) = lines(beside, "band_end"), lines(beside, "mark")
    # Down the page is down: the anchor is higher than the floor at the mark.
    assert (mark[-1][1] - band[-1][1]) / mm_a_metre(beside) == pytest.approx(0.80, abs=1e-3)
    assert (band[-1][0] - mark[-1][0]) / mm_a_metre(beside) == pytest.approx(1.40, abs=1e-3)


def test_the_forearm_is_as_long_as_the_scale_bar_says() -> None:
    document = page(from_above(setup_at("0"), "right"), 170, 110)
    for role in ("arm_start", "arm_end"):
        ((hand, elbow, _),) = lines(document, role)
        assert math.dist(hand, elbow) / mm_a_metre(document) == pytest.approx(LEVER_M, abs=1e-3)


def test_the_scale_bar_stands_below_the_drawing() -> None:
    # A tall scene that fills the height of a page of whole rows.
    document = page(from_the_side(setup_at("0"), "right"), 170, 63)
    highest = min(y for points in lines(document, "scale") for _, y in points)
    drawn = [element.attrib for element in ET.fromstring(document).iter(f"{_SVG}polyline")]
    lowest = max(
        float(pair.split(",")[1]) + float(attributes["stroke-width"]) / 2
        for attributes in drawn
        if attributes["class"] != "scale"
        for pair in attributes["points"].split()
    )
    assert lowest < highest


def test_words_and_title_are_text_and_never_markup() -> None:
    document = page(from_above(setup_at("0"), "right"), 170, 110, {"mark": 'a <b> & "c"'}, "Anna & <Otto>")
    root = ET.fromstring(document)
    assert root.findtext(f"{_SVG}title") == "Anna & <Otto>"
    assert 'a <b> & "c"' in [element.text for element in root.iter(f"{_SVG}text")]


def test_start_and_end_differ_in_black_and_white() -> None:
    root = ET.fromstring(page(from_above(setup_at("0"), "right"), 170, 110))
    drawn = {element.attrib["class"]: element.attrib for element in root.iter(f"{_SVG}polyline")}
    assert "stroke-dasharray" in drawn["arm_start"]
    assert "stroke-dasharray" in drawn["band_start"]
    assert "stroke-dasharray" not in drawn["arm_end"]
    assert "stroke-dasharray" not in drawn["band_end"]
    assert float(drawn["arm_end"]["stroke-width"]) > 3 * float(drawn["band_end"]["stroke-width"])
    for attributes in drawn.values():
        red, green, blue = (attributes["stroke"][index : index + 2] for index in (1, 3, 5))
        assert red == green == blue

"""The drawing of a setup as a file: both views at one scale, every length against the scale bar."""

import json
import math
import xml.etree.ElementTree as ET

import pytest

from coach.reports.pdf.setup_drawing import drawing_labels, setup_svg
from coach.reports.tables.setup_json import setup_json
from coach.reports.text.setup import setup_text
from coach.session.phrases import setup_of
from tests.mechanics.clients import profile
from tests.reports.report_plans import content, plan

_SVG = "{http://www.w3.org/2000/svg}"
SCALE_BAR_M = 0.5
Points = list[tuple[float, float]]


def _lines(group: ET.Element, role: str) -> list[Points]:
    return [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in line.attrib["points"].split())]
        for line in group.iter(f"{_SVG}polyline")
        if line.attrib["class"] == role
    ]


@pytest.mark.parametrize("position", ["0", "45", "90"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_both_views_are_as_long_as_the_one_scale_bar_says(position: str, side: str) -> None:
    of = plan(position, profile(rest_m=0.75, side="left" if side == "left" else "right"), step=9)
    setup = json.loads(setup_json(of))["setup"]
    root = ET.fromstring(setup_svg(of))
    above, beside = root.findall(f"{_SVG}g")
    (bar,) = _lines(root, "scale")
    metre = math.dist(bar[1], bar[2]) / SCALE_BAR_M
    for group in (above, beside):
        (band,), (mark,) = _lines(group, "band_end"), _lines(group, "mark")
        across = min(abs(band[-1][0] - x) for x, _ in mark)
        assert across / metre == pytest.approx(setup["distance_cm"] / 100, abs=1e-3)
    (band,), (mark,) = _lines(beside, "band_end"), _lines(beside, "mark")
    assert (max(mark[1:], key=lambda p: -p[1])[1] - band[-1][1]) / metre == pytest.approx(
        setup["anchor_height_cm"] / 100, abs=1e-3
    )


def test_everything_stands_on_the_page() -> None:
    root = ET.fromstring(setup_svg(plan("90", step=5)))
    width, height = (float(root.attrib[name].removesuffix("mm")) for name in ("width", "height"))
    assert root.attrib["viewBox"] == f"0 0 {width:.3f} {height:.3f}"
    assert width <= 210 - 2 * 10
    assert height <= 279 - 2 * 10  # the lower of A4 and letter, with a margin
    for group in root.findall(f"{_SVG}g"):
        right, down = (float(number) for number in group.attrib["transform"][10:-1].split(","))
        for line in group.iter(f"{_SVG}polyline"):
            for x, y in (pair.split(",") for pair in line.attrib["points"].split()):
                assert 0 <= right + float(x) <= width
                assert 0 <= down + float(y) <= height


def test_the_words_are_the_contents_own_and_only_text() -> None:
    of = plan("0", step=5)
    messages = content().messages.therapist.setup_report
    labels = drawing_labels(of, setup_of(of, of.step))
    del labels["underfoot"]  # the anchor is not the foot
    assert labels["distance"] == f"{of.step.distance_cm} cm on the floor"
    root = ET.fromstring(setup_svg(of))
    said = [text.text for text in root.iter(f"{_SVG}text")]
    for text in (*labels.values(), messages.from_above, messages.from_the_side):
        assert text in said
    assert "{" not in "".join(text or "" for text in said)
    assert root.findtext(f"{_SVG}title")
    # The same words in the drawing of the report.
    report = setup_text(of)
    assert content().messages.client.drawing["mark"] in report
    assert content().messages.client.drawing["facing"] in report

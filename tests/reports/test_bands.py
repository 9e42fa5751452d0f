"""The bands report: constants and misfits against SciPy, how far it holds, and what is doubtful."""

import re
from collections.abc import Mapping

import numpy as np
import pytest
from scipy.optimize import nnls

from coach.model.band import BandGrade, BandPoint
from coach.overview.chart_plot import SAMPLES
from coach.reports.text.bands import bands_text
from tests.mechanics.clients import LIMITS, grade, profile
from tests.published.tables import FLAT_BAND_N
from tests.reports.report_plans import content

WORDS = content().messages
SAID = WORDS.therapist.bands_report
REST_M = 0.30


def band(name: str, points: Mapping[int, float], looks: str = "the plain one") -> BandGrade:
    """A band from forces at percents of elongation."""
    measured = tuple(
        BandPoint(length_m=REST_M * (1 + percent / 100), force_n=force) for percent, force in points.items()
    )
    return BandGrade(name=name, looks=looks, resting_length_m=REST_M, points=measured)


def report(*bands: BandGrade, limits: Mapping[str, float] = LIMITS) -> str:
    return bands_text(profile(bands=bands), limits, WORDS)


def flat(text: str) -> str:
    return " ".join(text.split())


def test_constants_and_misfits_are_those_of_an_independent_fit() -> None:
    """Forces of one flat band: Uchida MC et al., J Phys Ther Sci 2016;28(4):1266-1271, doi 10.1589/jpts.28.1266
    (second hand). Fit: SciPy, scipy.optimize.nnls."""
    text = report(band("flat", FLAT_BAND_N))
    s, forces = 1 + np.array(list(FLAT_BAND_N)) / 100, np.array(list(FLAT_BAND_N.values()))
    terms = np.column_stack([s - s**-2, 1 - s**-3])
    constants, _ = nnls(terms, forces)
    fitted = terms @ constants
    assert f"a = {constants[0]:.2f} N, b = {constants[1]:.2f} N" in text
    rows = [line.split() for line in text.split("\n") if re.fullmatch(r" *\d+ +\d+ +[\d.]+ +[\d.]+ +[+-]?\d+", line)]
    assert len(rows) == len(FLAT_BAND_N)
    for row, percent, force, at in zip(rows, FLAT_BAND_N, forces, fitted, strict=True):
        assert float(row[0]) == pytest.approx(REST_M * (100 + percent), abs=0.5)
        assert [float(cell) for cell in row[1:]] == pytest.approx(
            [percent, force, at, (force / at - 1) * 100], abs=0.5001
        )
        assert float(row[3]) == pytest.approx(at, abs=0.0501)


def test_the_force_at_twice_the_length_is_given_as_a_scale_shows_it() -> None:
    text = flat(report(band("flat", FLAT_BAND_N)))
    (force, kg) = re.findall(r"pulls with ([\d.]+) N, about ([\d.]+) kg", text)[0]
    assert float(force) == pytest.approx(FLAT_BAND_N[100], rel=0.04)
    assert float(kg) == pytest.approx(float(force) / 9.80665, abs=0.0151)


@pytest.mark.parametrize(("measured_to", "beyond"), [(100, True), (150, False), (250, False)])
def test_the_curve_says_how_far_it_was_measured(measured_to: int, beyond: bool) -> None:
    points = {percent: force for percent, force in FLAT_BAND_N.items() if percent <= measured_to}
    text = report(band("flat", points))
    assert f"Measured up to {measured_to} % ({REST_M * (100 + measured_to):.0f} cm)" in flat(text)
    assert (SAID.curve["extrapolated"] in text) is beyond
    drawn = "".join(line for line in text.split("\n") if "│" in line or "┤" in line)
    assert (SAMPLES["curve_dotted"] in text) is beyond
    assert drawn.count("●") == len(points)
    assert set("▀▄") & set(drawn)
    assert "ceiling of 150 % is 75 cm" in text


def test_good_bands_raise_no_doubt() -> None:
    text = report(grade("light", 0.7, REST_M), grade("heavy", 1.0, REST_M))
    assert SAID.no_doubt in text


def test_a_point_out_of_line_is_named_with_what_the_others_say() -> None:
    points = {**FLAT_BAND_N, 100: FLAT_BAND_N[100] * 1.4}
    text = flat(report(band("flat", points)))
    assert "flat: the point at 60 cm is out of line" in text
    (measured, others, percent) = re.findall(
        r"It says ([\d.]+) N; the other points say ([\d.]+) N, so it is \+(\d+)", text
    )[0]
    assert float(measured) == pytest.approx(points[100], abs=0.05)
    assert float(others) == pytest.approx(FLAT_BAND_N[100], rel=0.04)
    assert 34 <= int(percent) <= 46
    assert SAID.no_doubt not in text


def test_one_point_is_called_a_guess() -> None:
    text = flat(report(band("flat", {100: 24.62})))
    assert "flat: its points are too few" in text
    assert "a = 8.04 N, b = 12.06 N" in text


def test_bands_out_of_order_are_named() -> None:
    text = flat(report(grade("first", 1.0, REST_M), grade("second", 0.7, REST_M)))
    assert "second is listed as heavier than first but does not pull harder" in text


def test_no_line_is_wider_than_the_page() -> None:
    looks = "the band that hung on the door of the shed " * 4
    text = report(band("b" * 40, FLAT_BAND_N, looks.strip()), band("c", {100: 3.0}))
    assert max(map(len, text.split("\n"))) <= 80
    assert "{" not in text
    assert all(character == "\n" or character.isprintable() for character in text)


@pytest.mark.parametrize(("used", "worn"), [(100_000.0, True), (0.0, False)])
def test_a_band_to_measure_is_told_before_what_is_known_of_the_bands(used: float, worn: bool) -> None:
    text = bands_text(profile(bands=(band("flat", FLAT_BAND_N),)), LIMITS, WORDS, {"flat": used})
    assert (text.split("\n")[1].startswith("- flat: since it was measured")) is worn
    assert (SAID.doubts_title in text) is not worn
    assert ("--again flat." in flat(text)) is worn

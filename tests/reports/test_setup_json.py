"""The JSON holds all that is needed to compute the load again elsewhere."""

import json
from typing import Any, Literal

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.optimize import nnls

from coach.reports.tables.setup_json import setup_json
from tests.mechanics.clients import profile
from tests.reports.recomputed import mean_nm, recompute
from tests.reports.report_plans import plan

ALIKE = 1e-9


def read(position: str, side: Literal["left", "right"] = "right", strands: Literal[1, 2] = 1) -> dict[str, Any]:
    client = profile(rest_m=0.75 * strands, side=side, strands=(strands,), farthest_cm=160)
    data: dict[str, Any] = json.loads(setup_json(plan(position, client, step=7)))
    return data


def now(data: dict[str, Any]) -> dict[str, Any]:
    steps: list[dict[str, Any]] = [step for step in data["ladder"] if step["now"]]
    assert len(steps) == 1
    return steps[0]


def column(data: dict[str, Any], key: str) -> Any:
    return np.array([degree[key] for degree in data["degrees"]])


@pytest.mark.parametrize("position", ["0", "45", "90"])
@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("strands", [1, 2])
def test_every_degree_can_be_computed_again(
    position: str, side: Literal["left", "right"], strands: Literal[1, 2]
) -> None:
    data = read(position, side, strands)
    again = recompute(data, column(data, "rotation_deg"), now(data))
    for key in ("elbow_m", "hand_m", "axis_u", "motion_v", "length_m", "elongation", "tension_n"):
        np.testing.assert_allclose(column(data, key), getattr(again, key), atol=ALIKE, err_msg=key)
    for key in ("band_nm", "arm_weight_nm", "torque_nm"):
        np.testing.assert_allclose(column(data, key), getattr(again, key), rtol=ALIKE, atol=ALIKE, err_msg=key)


@pytest.mark.parametrize("position", ["0", "45", "90"])
def test_the_summary_agrees_with_the_degrees_and_with_quadrature(position: str) -> None:
    data = read(position)
    load, torque = data["load"], column(data, "torque_nm")
    start, end = data["position"]["arc_start_deg"], data["position"]["arc_end_deg"]
    mean = mean_nm(data, now(data))
    assert load["mean_nm"] == pytest.approx(mean, abs=ALIKE)
    assert load["work_j"] == pytest.approx(mean * np.radians(end - start), abs=ALIKE)
    assert load["peak_nm"] == torque.max()
    assert load["peak_at_deg"] == column(data, "rotation_deg")[torque.argmax()]
    tempo = load["tempo"]
    one_repetition = mean * (tempo["out_s"] + tempo["back_s"]) + torque[-1] * tempo["hold_s"]
    assert load["torque_time_nms"] == pytest.approx(load["repetitions"] * one_repetition, abs=1e-7)


@pytest.mark.parametrize("position", ["0", "45", "90"])
def test_the_ladder_can_be_computed_again(position: str) -> None:
    data = read(position)
    assert len(data["ladder"]) > 10
    for step in data["ladder"]:
        assert step["mean_nm"] == pytest.approx(mean_nm(data, step), abs=6e-5)  # four decimals
        again = recompute(data, column(data, "rotation_deg"), step)
        assert step["peak_nm"] == pytest.approx(again.torque_nm.max(), abs=6e-5)
        assert again.elongation[0] >= data["limits"]["taut_at_start"]
        assert again.elongation.max() <= data["limits"]["elongation_max"]


def test_the_law_of_each_band_can_be_fitted_again() -> None:
    """Non-negative least squares: SciPy, scipy.optimize.nnls."""
    for band in read("0")["bands"]:
        s = np.array([point["length_m"] for point in band["points"]]) / band["resting_length_m"]
        terms = np.column_stack([s - s**-2, 1 - s**-3])
        (a, b), _ = nnls(terms, np.array([point["force_n"] for point in band["points"]]))
        assert (band["a_n"], band["b_n"]) == pytest.approx((a, b), rel=1e-9)


@pytest.mark.parametrize("position", ["0", "45", "90"])
def test_what_a_wrong_setup_does_can_be_computed_again(position: str) -> None:
    data = read(position)
    right = mean_nm(data, now(data))
    for one in data["wrong_by"]:
        wrong = mean_nm(data, now(data), **{one["what"]: one["change"]})
        assert one["mean_change"] == pytest.approx(wrong / right - 1, abs=1e-8)


@pytest.mark.parametrize(("before", "today"), [(3, 8), (10, 10), (30, 15)])
def test_the_repetitions_are_those_of_today_inside_the_range_of_the_dose(before: int, today: int) -> None:
    of = plan()
    stands = replace(of, before=of.before.model_copy(update={"repetitions": before}))
    assert json.loads(setup_json(stands))["load"]["repetitions"] == today


def test_it_says_nothing_of_the_person_but_pseudonym_side_and_size() -> None:
    text = setup_json(plan())
    assert json.loads(text)["profile"] == "invented"
    assert "reach the top shelf" not in text  # the goal, in the client's own words
    assert "AB" not in text  # the therapist's initials

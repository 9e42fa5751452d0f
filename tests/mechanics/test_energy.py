"""Work, energy and torque against SciPy: a band gives back what it was given."""

import math
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.integrate import quad
from scipy.optimize import brentq

from coach.mechanics.anchor import anchor_m
from coach.mechanics.arm import raise_arm
from coach.mechanics.band import Rubber, energy_j, tension_n
from coach.mechanics.body import body_of
from coach.mechanics.torque import Arc, arm_weight, line_of_pull, load_of
from coach.model.option_names import Direction
from tests.mechanics.clients import profile

BODY = body_of(profile())
RUBBER = Rubber(a_n=9.0, b_n=14.0, guess=False, measured_to=2.5)

directions: some.SearchStrategy[Direction] = some.sampled_from(("external", "internal"))
positions = some.tuples(some.floats(0, 90), some.floats(0, 60), directions)
anchors = some.tuples(some.floats(0.8, 2.5), some.floats(0.0, 2.0), some.floats(-20, 120))
rests = some.floats(0.4, 1.2)


Place = tuple[float, float, Direction]


def _arc(place: Place, anchor: tuple[float, float, float], rest_m: float, rotations: tuple[float, ...]) -> Arc:
    arm = raise_arm(BODY, *place)
    pull = line_of_pull(arm, anchor_m(BODY, *anchor, "other"), rotations)
    return load_of(pull, arm_weight(arm, rotations), RUBBER, rest_m, 1)


def _stored_j(rest_m: float, length_m: float) -> float:
    """The integral of the tension over the length, by quadrature."""
    if length_m <= rest_m:
        return 0.0
    stored: float = quad(
        lambda length: tension_n(RUBBER, rest_m, length), rest_m, length_m, epsabs=1e-13, epsrel=1e-13
    )[0]
    return stored


def _slope(function: Callable[[float], float], at: float, step: float) -> float:
    """The derivative by central differences of the fourth order."""
    near = function(at + step) - function(at - step)
    far = function(at + 2 * step) - function(at - 2 * step)
    return (8 * near - far) / (12 * step)


@settings(max_examples=100)
@given(positions, anchors, rests, some.floats(-40, 100))
def test_torque_is_the_rate_at_which_energy_is_stored(
    place: Place, anchor: tuple[float, float, float], rest_m: float, rotation_deg: float
) -> None:
    """Virtual work: dE/dt = torque, to 1e-9 of the largest torque that the tension could have."""
    arc = _arc(place, anchor, rest_m, (rotation_deg, rotation_deg + 1))
    if abs(arc.elongation[0]) < 0.02:
        return  # across the resting length the tension has a corner, and no difference formula holds

    def stored(angle: float) -> float:
        length = _arc(place, anchor, rest_m, (math.degrees(angle), 180.0)).length_m[0]
        return _stored_j(rest_m, length)

    slope = _slope(stored, math.radians(rotation_deg), 1e-3)
    assert arc.band_nm[0] == pytest.approx(slope, rel=1e-9, abs=1e-9 * BODY.grip_lever_m * max(arc.tension_n[0], 1.0))


@settings(max_examples=60)
@given(positions, anchors, rests, some.floats(-40, 0), some.floats(20, 100))
def test_the_work_of_a_repetition_is_the_integral_of_its_torque(
    place: Place, anchor: tuple[float, float, float], rest_m: float, start_deg: float, end_deg: float
) -> None:
    """SciPy quadrature of band and arm weight; where the band goes slack on the way it is split there."""
    arc = _arc(place, anchor, rest_m, (start_deg, end_deg))

    def torque(angle: float) -> float:
        there = _arc(place, anchor, rest_m, (math.degrees(angle), 180.0))
        return there.band_nm[0] + there.arm_nm[0]

    def beyond_rest(angle: float) -> float:
        return _arc(place, anchor, rest_m, (math.degrees(angle), 180.0)).length_m[0] - rest_m

    start, end = math.radians(start_deg), math.radians(end_deg)
    angles = [start + (end - start) * part / 50 for part in range(51)]
    corners = [
        brentq(beyond_rest, here, there)
        for here, there in pairwise(angles)
        if beyond_rest(here) * beyond_rest(there) < 0
    ]
    parts = [start, *corners, end]
    work = sum(quad(torque, here, there, epsabs=1e-11, epsrel=1e-11)[0] for here, there in pairwise(parts))
    assert arc.work_j == pytest.approx(work, rel=1e-11, abs=1e-11)
    assert arc.mean_nm == pytest.approx(work / (end - start), rel=1e-11, abs=1e-11)


@settings(max_examples=40)
@given(positions, anchors, some.floats(0.3, 0.5))
def test_a_closed_loop_costs_nothing(place: Place, anchor: tuple[float, float, float], rest_m: float) -> None:
    """Once round the whole circle of rotation, SciPy quadrature; the anchor is too far for slack anywhere."""
    distance, height, turn = anchor

    def torque(angle: float) -> float:
        far = (distance + 1.0, height, turn)
        there = _arc(place, far, rest_m, (math.degrees(angle), math.degrees(angle) + 1))
        return there.band_nm[0] + there.arm_nm[0]

    work, _ = quad(torque, -math.pi, math.pi, epsabs=1e-11, epsrel=1e-11, limit=400)
    assert work == pytest.approx(0.0, abs=1e-12)


@given(rests, some.floats(0.1, 4.0), some.sampled_from((1, 2)))
def test_stored_energy_is_the_integral_of_tension(rest_m: float, length_m: float, strands: int) -> None:
    """SciPy quadrature, one strand or two."""
    slack_until = rest_m / strands
    integral = (
        quad(lambda length: tension_n(RUBBER, rest_m, length, strands), slack_until, length_m, epsrel=1e-12)[0]
        if length_m > slack_until
        else 0.0
    )
    assert energy_j(RUBBER, rest_m, length_m, strands) == pytest.approx(integral, rel=1e-11, abs=1e-12)

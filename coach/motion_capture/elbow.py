"""How far the axis of the motion, the upper arm in a rotation, was tilted over the set."""

import math
from collections.abc import Mapping

import numpy as np
from scipy.spatial.transform import Rotation

from coach.motion_capture.halves import Turning, drift_deg_per_row
from coach.motion_capture.orientation import Oriented
from coach.motion_capture.results import Array, Estimate

_LEAST_REPETITIONS = 4  # with fewer, a line through them says little of a drift (ours)
_PARTS = ((0.1, 0.45), (0.55, 0.9))  # of a way, near and far: without its ends, where there is little turning (ours)
_NEAR_VERTICAL = 0.87  # cosine of 30 degrees: nearer, both parts of the tilt are told apart from a turn of the trunk
_WITHIN_FLOOR_DEG = 0.12  # of a wandering arm, which the way out and the way back share (fitted to simulated sets)


def upward(oriented: Oriented, turning: Turning) -> float:
    """The vertical part of the axis: 1 if the turn with the sign of the axis is counter-clockwise from above."""
    return float(np.mean([axis[2] for axis in _axes(oriented, turning)])) if turning.halves else 0.0


def drift_deg(oriented: Oriented, turning: Turning, limits: Mapping[str, float]) -> Estimate | None:
    """The tilt from the first to the last repetition, along the straight line through all; None where it is unknown.

    It is measured against gravity, so a turn of the trunk about the vertical does not count.
    """
    axes = _axes(oriented, turning)
    if len(axes) < 2 * _LEAST_REPETITIONS:
        return None
    along = np.linspace(-0.5, 0.5, len(axes))
    if abs(float(np.mean(axes[:, 2]))) > _NEAR_VERTICAL:
        tilts = np.degrees(_without_turn(axes, turning)[:, :2])
    else:
        tilts = np.degrees(np.arcsin(np.clip(axes[:, 2:], -1, 1)))
    slopes, residuals = _lines(along, tilts)
    spread = float(np.sqrt(np.mean(residuals**2)))
    floor = limits["u_measured_drift_deg"]
    u = math.hypot(spread / math.sqrt(float(np.sum(along**2))), floor)
    drift = float(np.linalg.norm(slopes))
    if len(slopes) > 1:
        drift = math.sqrt(max(drift**2 - floor**2, 0.0))  # a length is made too great by scatter in any direction
    return Estimate(drift, u)


def within_deg(oriented: Oriented, turning: Turning, limits: Mapping[str, float]) -> Estimate:
    """By how much the axis is tilted against gravity from the near to the far end of a repetition, as a mean.

    The tilt is that of the turning itself, in an early and in a late part of each way; a trunk that turns steadily is
    the same in both.
    """
    first, found = turning.stretch.first, list[float]()
    for half in turning.halves:
        angle = turning.angle_deg[half.first : half.end + 1]
        part = (angle - angle[0]) / half.turn_deg
        part = part if half.sign == turning.halves[0].sign else 1 - part  # 0 at the near end both ways
        rows = slice(first + half.first, first + half.end + 1)
        rates = oriented.rotation[rows].apply(oriented.turning[rows]) * half.sign
        (near, at_near), (far, at_far) = (_tilt_of_part(rates, part, *of) for of in _PARTS)
        found.append((far - near) / (at_far - at_near))
    # The tilt is the same on the way out and back; repetitions may differ truly.
    apart = np.diff(np.array(found[: len(found) // 2 * 2]).reshape(-1, 2))
    spread = float(np.sqrt(np.mean(apart**2))) / 2 / math.sqrt(max(len(apart), 1))
    return Estimate(
        abs(float(np.mean(found))), math.hypot(spread, _WITHIN_FLOOR_DEG, limits["u_measured_within_deg"])
    )


def _tilt_of_part(rates: Array, part: Array, low: float, high: float) -> tuple[float, float]:
    """The tilt of the turning against the level in a part of a way, in degrees, and where that part is on average."""
    chosen = (part >= low) & (part <= high)
    turned = rates[chosen].sum(axis=0)
    weights = np.linalg.norm(rates[chosen], axis=1)
    tilt = math.degrees(math.asin(float(turned[2] / np.linalg.norm(turned))))
    return tilt, float(np.average(part[chosen], weights=weights))


def _without_turn(axes: Array, turning: Turning) -> Array:
    """The axes without the slow turn of the frame about the vertical, which is the drift of the angle about them."""
    middles = np.array([(half.first + half.end) / 2 for half in turning.halves])
    turned = np.radians(drift_deg_per_row(turning) * middles) * np.sign(np.mean(axes[:, 2]))
    up = np.array([0.0, 0.0, 1.0])
    return np.asarray(Rotation.from_rotvec(-np.outer(turned, up)).apply(axes))


def _axes(oriented: Oriented, turning: Turning) -> Array:
    """The axis of each half in the frame whose third direction is up, all with the sign of the set's axis."""
    first = turning.stretch.first
    found: list[Array] = []
    for half in turning.halves:
        rows = slice(first + half.first, first + half.end + 1)
        rates = oriented.rotation[rows].apply(oriented.turning[rows])
        axes = np.linalg.eigh(rates.T @ rates)[1]
        sign = np.sign(np.sum(rates @ axes[:, 2] * turning.rate_rad_s[half.first : half.end + 1])) or 1.0
        found.append(np.asarray(axes[:, 2] * sign))
    return np.array(found).reshape(-1, 3)


def _lines(along: Array, values: Array) -> tuple[Array, Array]:
    """The slopes of the straight lines through the columns of `values`, and what is left."""
    centred = values - values.mean(axis=0)
    slopes = along @ centred / float(np.sum(along**2))
    return slopes, np.asarray(centred - np.outer(along, slopes))

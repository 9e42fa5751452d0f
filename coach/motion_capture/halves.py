"""A stretch of movement as turns one way and back about one axis: the halves of its repetitions."""

from itertools import pairwise

import numpy as np
from msgspec import Struct

from coach.motion_capture.orientation import Oriented
from coach.motion_capture.results import Array, Asked
from coach.motion_capture.stretches import Stretch

_LEAST_HALVES = 4  # two repetitions: with fewer a straight line is no drift (ours)


class Half(Struct, frozen=True):
    """One turn from `first` to `end`, rows of the stretch; `sign` is its direction about the axis."""

    first: int
    end: int
    turn_deg: float

    @property
    def sign(self) -> int:
        """1 or -1."""
        return 1 if self.turn_deg > 0 else -1


class Turning(Struct, frozen=True):
    """A stretch as an angle about its main axis, and the halves of its repetitions.

    `axis` is fixed in the sensor. `on_axis` is the part of the turning that is about it. `cut_off` are the turns
    before the first whole half and after the last that the beginning or the end of the recording cut off.
    """

    stretch: Stretch
    axis: Array
    on_axis: float
    rate_rad_s: Array
    angle_deg: Array
    halves: tuple[Half, ...]
    cut_off: tuple[Half, ...]

    @property
    def usual_deg(self) -> float:
        """The median turn."""
        return float(np.median([abs(half.turn_deg) for half in self.halves])) if self.halves else 0.0

    @property
    def count(self) -> int:
        """The repetitions: every one whose way out or way back is in the recording, whole or cut off."""
        every = (*self.halves, *self.cut_off)
        return max((sum(half.sign == sign for half in every) for sign in (1, -1)), default=0)


def turning_of(oriented: Oriented, stretch: Stretch, asked: Asked) -> Turning:
    """The stretch as an angle about the axis that most of the turning is about."""
    turning = oriented.turning[stretch.first : stretch.end]
    weights, axes = np.linalg.eigh(turning.T @ turning)
    axis, rate = axes[:, 2], turning @ axes[:, 2]
    angle = np.degrees(np.concatenate(([0.0], np.cumsum((rate[1:] + rate[:-1]) / 2)))) / oriented.recording.rate_hz
    rows = _turning_points(angle, asked)
    halves = tuple(Half(first, end, float(angle[end] - angle[first])) for first, end in pairwise(rows))
    usual = float(np.median([abs(half.turn_deg) for half in halves])) if halves else 0.0
    cut_off = tuple(
        half
        for half, is_edge in ((_edge(angle, 0, rows[0]), not stretch.still_before),
                              (_edge(angle, rows[-1], len(angle) - 1), not stretch.still_after))
        if is_edge and halves and abs(half.turn_deg) >= asked.limits["measured_cut_off_of_usual"] * usual
    )  # fmt: skip
    return Turning(stretch, axis, float(weights[2] / weights.sum()), rate, angle, halves, cut_off)


def _edge(angle: Array, first: int, end: int) -> Half:
    return Half(first, end, float(angle[end] - angle[first]))


def _turning_points(angle: Array, asked: Asked) -> list[int]:
    """The rows at which the angle turns back by a part of the usual turn or more, and the first and last extreme."""
    smallest = least = asked.limits["measured_turn_least_deg"]
    for _ in range(3):
        rows = _extremes(angle, least)
        turns = np.abs(np.diff(angle[rows]))
        usual = float(np.median(turns[turns >= smallest])) if np.any(turns >= smallest) else 0.0
        least = max(smallest, asked.limits["measured_turn_back_of_usual"] * usual)
    return rows


def _extremes(angle: Array, least: float) -> list[int]:
    """The rows of the extremes that are apart by `least` or more, alternately high and low."""
    rows, high, low, rising = [], 0, 0, 0
    for row, value in enumerate(angle.tolist()):
        if value > angle[high]:
            high = row
        if value < angle[low]:
            low = row
        if rising >= 0 and angle[high] - value >= least:
            rows.append(high)
            rising, low = -1, row
        elif rising <= 0 and value - angle[low] >= least:
            rows.append(low)
            rising, high = 1, row
    rows.append(high if rising >= 0 else low)
    return rows


def straightened(turning: Turning) -> Array:
    """The angle without the slow drift that is left: the arm comes back to its start after each repetition."""
    return np.asarray(turning.angle_deg - drift_deg_per_row(turning) * np.arange(len(turning.angle_deg)))


def drift_deg_per_row(turning: Turning) -> float:
    """The slope of the straight line through the middles of the halves; 0 for too few of them."""
    if len(turning.halves) < _LEAST_HALVES:
        return 0.0
    angle = turning.angle_deg
    rows = np.array([(one.first + one.end) / 2 for one in turning.halves])
    middles = np.array([(angle[one.first] + angle[one.end]) / 2 for one in turning.halves])
    return float(np.polyfit(rows, middles, 1)[0])

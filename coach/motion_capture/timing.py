"""Seconds, range and evenness of each repetition."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coach.motion_capture.halves import Half, Turning
from coach.motion_capture.orientation import Oriented
from coach.motion_capture.results import Array, Estimate, MeasuredRepetition

# A way begins and ends where its speed, from 8 and from 24 % of its greatest, runs out to nothing: the speed of a
# careful movement grows from rest between linearly and with the square of the time, so the line through both is
# carried on by this part of the time between them.
_LEVELS = (0.08, 0.24)
_CARRIED_ON = 0.6
# Fitted to simulated sets: how far the true beginning is from that point, as a part of the time between the levels.
_CARRIED_ON_U = 0.35
_TIME_U_S = 0.05  # smoothing, and the jerk with which a movement begins
_SCALE_U = 0.01  # of the turning rate of a cheap sensor
_BIAS_U_RAD_S = 0.0017  # 0.1 degrees a second, left after the filter and the straightening
_HELD_S = 0.3


@dataclass(frozen=True)
class _Way:
    """One way as it was timed, in seconds of the stretch."""

    began: Estimate
    ended: Estimate
    half: Half


def repetitions_of(oriented: Oriented, turning: Turning, out_sign: int) -> tuple[MeasuredRepetition, ...]:
    """The repetitions whose way out is in the recording, in order."""
    rate, straight = oriented.recording.rate_hz, straightened(turning)
    ways = [_way(turning, half, rate) for half in turning.halves]
    following: list[_Way | None] = [*ways[1:], None]
    after: list[_Way | None] = [*ways[2:], None, None]
    began = turning.stretch.first / rate
    found: list[MeasuredRepetition] = []
    for way, back, out in zip(ways, following, after, strict=False):
        if way.half.sign == out_sign:
            found.append(_repetition(way, back, out, turning, straight, began, rate, oriented.noise_rad_s))
    return tuple(found)


def straightened(turning: Turning) -> Array:
    """The angle without the slow drift that is left: the arm comes back to its start after each repetition."""
    angle = turning.angle_deg
    if len(turning.halves) < 4:
        return angle
    rows = [half.first for half in turning.halves]
    ends = [half.end for half in turning.halves]
    middles = [((first + end) / 2, (angle[first] + angle[end]) / 2) for first, end in zip(rows, ends, strict=True)]
    slope, _ = np.polyfit(*np.array(middles).T, 1)
    return np.asarray(angle - slope * np.arange(len(angle)))


def _repetition(
    way: _Way,
    back: _Way | None,
    out: _Way | None,
    turning: Turning,
    straight: Array,
    began: float,
    rate: float,
    noise_rad_s: float,
) -> MeasuredRepetition:
    return MeasuredRepetition(
        began_s=began + way.began.value,
        out_s=_between(way.began, way.ended),
        hold_s=_between(way.ended, back.began) if back else None,
        back_s=_between(back.began, back.ended) if back else None,
        relax_s=_between(back.ended, out.began) if back and out else None,
        range_deg=_range(way, straight, rate),
        evenness=_evenness(way, turning, rate, noise_rad_s),
    )


def _between(first: Estimate, last: Estimate) -> Estimate:
    return Estimate(max(last.value - first.value, 0.0), math.hypot(first.u, last.u))


def _way(turning: Turning, half: Half, rate: float) -> _Way:
    """When a way began and ended: where its speed grew from nothing and fell to nothing."""
    speed = turning.rate_rad_s[half.first : half.end + 1] * half.sign
    peak, greatest = int(np.argmax(speed)), float(speed.max())
    began = _runs_out(speed[: peak + 1][::-1], greatest, rate)
    ended = _runs_out(speed[peak:], greatest, rate)
    middle = (half.first + peak) / rate
    first, last = max(middle - began.value, half.first / rate), min(middle + ended.value, half.end / rate)
    return _Way(Estimate(first, began.u), Estimate(last, ended.u), half)


def _runs_out(speed: Array, greatest: float, rate: float) -> Estimate:
    """The time from the greatest speed to where it has run out, in seconds."""
    low, high = (_last_above(speed, level * greatest) / rate for level in _LEVELS)
    u = math.sqrt((_CARRIED_ON_U * (low - high)) ** 2 + _TIME_U_S**2 + 1 / (12 * rate**2))
    return Estimate(low + _CARRIED_ON * (low - high), u)


def _last_above(speed: Array, level: float) -> float:
    """The last place at which the speed crosses the level downward, between rows."""
    above = np.flatnonzero(speed >= level)
    last = int(above[-1])
    if last + 1 >= len(speed):
        return float(last)
    drop = float(speed[last] - speed[last + 1])
    return last + (float(speed[last]) - level) / drop if drop > 0 else float(last)


def _range(way: _Way, straight: Array, rate: float) -> Estimate:
    """From the angle at rest before the way out to the angle at its end."""
    first, last = (min(max(round(one.value * rate), 0), len(straight) - 1) for one in (way.began, way.ended))
    turn = abs(float(straight[last] - straight[first]))
    drift = math.degrees(_BIAS_U_RAD_S) * (last - first) / rate
    return Estimate(turn, math.sqrt((_SCALE_U * turn) ** 2 + drift**2 + 0.2**2))


def _evenness(way: _Way, turning: Turning, rate: float, noise_rad_s: float) -> Estimate | None:
    """The mean speed over the greatest; None where the way is too short to tell."""
    first, last = round(way.began.value * rate), round(way.ended.value * rate)
    speed = turning.rate_rad_s[first : last + 1] * way.half.sign
    if len(speed) < _HELD_S * rate:
        return None
    greatest = float(speed.max())
    value = min(float(speed.mean()) / greatest, 1.0)
    seconds = max(way.ended.value - way.began.value, 1 / rate)
    return Estimate(value, value * math.hypot(noise_rad_s / greatest, math.hypot(way.began.u, way.ended.u) / seconds))


def regular(turning: Turning) -> bool:
    """Whether the turns are alike enough to be repetitions of one motion."""
    turns = [abs(half.turn_deg) for half in turning.halves]
    alike = [one for one in turns if 0.5 <= one / turning.usual_deg <= 1.7]
    return len(turns) >= 2 and len(alike) >= 0.7 * len(turns)


def period_s(turning: Turning, rate: float) -> float:
    """The median time from one way out to the next; 0 with fewer than two."""
    firsts = [half.first for half in turning.halves[::2]]
    return float(np.median([(b - a) / rate for a, b in pairwise(firsts)])) if len(firsts) > 1 else 0.0

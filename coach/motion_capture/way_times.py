"""Seconds, range and evenness of each repetition."""

import math
from collections.abc import Mapping
from itertools import pairwise

import numpy as np
from msgspec import Struct

from coach.motion_capture.elbow import upward
from coach.motion_capture.halves import Half, Turning, straightened
from coach.motion_capture.orientation import Oriented
from coach.motion_capture.results import Array, Estimate, MeasuredRepetition

# A way begins and ends where its speed, from 8 and from 24 % of its greatest, runs out to nothing: the speed of a
# careful movement grows from rest between linearly and with the square of the time, so the line through both is
# carried on by this part of the time between them.
_LEVELS = (0.08, 0.24)
_CARRIED_ON = 0.77
# The smoothing makes a sudden beginning look earlier: by this much at once, and less the longer it takes. Fitted to
# ways of 0.3 to 4 seconds that were smoothed alike.
_SMOOTHED_S, _SMOOTHED_OVER_S = 0.21, 0.053
_SPREAD_S = 0.1  # the smoothing spreads the end of a turn by as much
# The next three are fitted to simulated sets: how far the true beginning is from that point, as a part of the time
# between the levels, with the smoothing; and the part of it that is left in a pause, where neighbours partly cancel.
_CARRIED_ON_U = 0.205
_TIME_U_S = 0.034
_OF_PAUSE = 0.83
_SCALE_U = 0.01  # of the turning rate of a cheap sensor
_BIAS_U_DEG_S = 0.05  # left after the filter and the straightening
_TRUNK_U_DEG_S = 0.55  # a trunk that turns is not told from the arm, as far as the axis is vertical
_SHORTEST_WAY_S = 0.3
_HALT_S = 0.8  # a longer halt ends a way if little is turned beyond it: that is something else
_LITTLE = 0.3  # of the turn of the way (ours)
_MOST = 0.8  # of the usual turn: a way that turns less may only halt where the recording begins or ends (ours)


class _Way(Struct, frozen=True):
    """One way as it was timed, in seconds of the stretch; an end that the recording cuts off is None."""

    began: Estimate | None
    ended: Estimate | None
    half: Half


class _Signals(Struct, frozen=True):
    """What the repetitions of one set are read from."""

    turning: Turning
    straight_deg: Array
    rate_hz: float
    noise_rad_s: float
    upward: float


def repetitions_of(oriented: Oriented, turning: Turning, out_sign: int) -> tuple[MeasuredRepetition, ...]:
    """The repetitions whose whole way out is in the recording, in order."""
    rate = oriented.recording.rate_hz
    signals = _Signals(turning, straightened(turning), rate, oriented.noise_rad_s, upward(oriented, turning))
    ways = [_way(turning, half, rate) for half in turning.halves]
    following: list[_Way | None] = [*ways[1:], None]
    after: list[_Way | None] = [*ways[2:], None, None]
    return tuple(
        found
        for way, back, out in zip(ways, following, after, strict=False)
        if way.half.sign == out_sign
        for found in (_repetition(way, back, out, signals),)
        if found is not None
    )


def _repetition(way: _Way, back: _Way | None, out: _Way | None, signals: _Signals) -> MeasuredRepetition | None:
    out_s = _between(way.began, way.ended)
    if way.began is None or way.ended is None or out_s is None:
        return None
    first, last = way.began, way.ended
    return MeasuredRepetition(
        began_s=signals.turning.stretch.first / signals.rate_hz + first.value,
        out_s=out_s,
        hold_s=_between(last, back.began, _OF_PAUSE) if back else None,
        back_s=_between(back.began, back.ended) if back else None,
        relax_s=_between(back.ended, out.began, _OF_PAUSE) if back and out else None,
        range_deg=_range(first, last, way.half, signals),
        evenness=_evenness(first, last, way.half.sign, signals),
    )


def _between(first: Estimate | None, last: Estimate | None, part: float = 1.0) -> Estimate | None:
    if first is None or last is None:
        return None
    return Estimate(max(last.value - first.value, 0.0), part * math.hypot(first.u, last.u))


def _way(turning: Turning, half: Half, rate: float) -> _Way:
    """When a way began and ended: where its speed grew from nothing and fell to nothing."""
    speed = turning.rate_rad_s[half.first : half.end + 1] * half.sign
    peak, greatest = int(np.argmax(speed)), float(speed.max())
    began = _runs_out(speed[: peak + 1][::-1], greatest, rate)
    ended = _runs_out(speed[peak:], greatest, rate)
    middle = (half.first + peak) / rate
    first, last = max(middle - began.value, half.first / rate), min(middle + ended.value, half.end / rate)
    before = turning.stretch.first / rate + first
    after = (turning.stretch.recorded - turning.stretch.first) / rate - last
    moving = speed > _LEVELS[0] * greatest
    may_go_on = abs(half.turn_deg) < _MOST * turning.usual_deg
    return _Way(
        None if moving[0] or (may_go_on and before < _HALT_S) else Estimate(first, began.u),
        None if moving[-1] or (may_go_on and after < _HALT_S) else Estimate(last, ended.u),
        half,
    )


def _runs_out(speed: Array, greatest: float, rate: float) -> Estimate:
    """The time from the greatest speed to where it has run out, in seconds."""
    low, high = (_last_above(speed, level * greatest, round(_HALT_S * rate)) / rate for level in _LEVELS)
    u = math.sqrt((_CARRIED_ON_U * (low - high)) ** 2 + _TIME_U_S**2 + 1 / (12 * rate**2))
    sudden = _SMOOTHED_S * math.exp(-(low - high) / _SMOOTHED_OVER_S)
    return Estimate(low + _CARRIED_ON * (low - high) - sudden, u)


def _last_above(speed: Array, level: float, halt: int) -> float:
    """Where the speed last crosses the level downward, between rows, before a halt beyond which little is turned."""
    above = np.flatnonzero(speed >= level)
    beyond = np.cumsum(speed[::-1])[::-1]
    halts = np.diff(above) > halt
    ends = np.flatnonzero(halts & (beyond[above[1:]] < _LITTLE * beyond[0]))
    last = int(above[ends[0]] if ends.size else above[-1])
    if last + 1 >= len(speed):
        return float(last)
    drop = float(speed[last] - speed[last + 1])
    return last + (float(speed[last]) - level) / drop if drop > 0 else float(last)


def _range(began: Estimate, ended: Estimate, half: Half, signals: _Signals) -> Estimate:
    """From the angle at rest before the way out to the angle at its end."""
    straight, rate = signals.straight_deg, signals.rate_hz
    first = max(round((began.value - _SPREAD_S) * rate), half.first)
    last = min(round((ended.value + _SPREAD_S) * rate), half.end)
    turn, seconds = abs(float(straight[last] - straight[first])), (last - first) / rate
    drift = math.hypot(_BIAS_U_DEG_S, _TRUNK_U_DEG_S * signals.upward) * seconds
    return Estimate(turn, math.hypot(_SCALE_U * turn, drift))


def _evenness(began: Estimate, ended: Estimate, sign: int, signals: _Signals) -> Estimate | None:
    """The mean speed over the greatest; None where the way is too short to tell."""
    rate = signals.rate_hz
    first, last = round(began.value * rate), round(ended.value * rate)
    speed = signals.turning.rate_rad_s[first : last + 1] * sign
    if len(speed) < _SHORTEST_WAY_S * rate:
        return None
    greatest = float(speed.max())
    value = min(float(speed.mean()) / greatest, 1.0)
    of_time = math.hypot(began.u, ended.u) / (len(speed) / rate)
    return Estimate(value, value * math.hypot(signals.noise_rad_s / greatest, of_time))


def regular(turning: Turning, limits: Mapping[str, float]) -> bool:
    """Whether the turns are alike enough to be repetitions of one motion."""
    turns = [abs(half.turn_deg) for half in turning.halves]
    low, high = limits["measured_alike_low"], limits["measured_alike_high"]
    alike = [one for one in turns if low <= one / turning.usual_deg <= high]
    return len(turns) >= 2 and len(alike) >= limits["measured_alike_share"] * len(turns)


def period_s(turning: Turning, rate: float) -> float:
    """The median time from one way out to the next; 0 with fewer than two."""
    firsts = [half.first for half in turning.halves[::2]]
    return float(np.median([(b - a) / rate for a, b in pairwise(firsts)])) if len(firsts) > 1 else 0.0

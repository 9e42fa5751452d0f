"""What a recording holds: the repetition without the band, the sets, and movement that is neither."""

import math

import numpy as np
from msgspec.structs import replace

from coach.motion_capture.elbow import drift_deg, upward, within_deg
from coach.motion_capture.halves import Turning, straightened, turning_of
from coach.motion_capture.orientation import Oriented, orient
from coach.motion_capture.recording import Recording
from coach.motion_capture.results import Asked, Found, FoundSet, MeasuredRepetition
from coach.motion_capture.stretches import stretches
from coach.motion_capture.way_times import period_s, regular, repetitions_of

# The least vertical part of the axis at which gravity tells one way from the other: 20 degrees from level, twice the
# error of the axis of one set (ours).
_TELLS_DIRECTION = 0.35
_LONG_HOLD = 1.5  # a hold this many times as long as the one asked is rather a rest (ours)
_POINTS = 400  # of the angle over time; more than any chart has columns


def analyse(recording: Recording, asked: Asked) -> Found:
    """Everything that is found in a recording of one or more sets."""
    oriented = orient(recording)
    moved = stretches(oriented, asked.longest_pause_s, asked.limits["measured_turn_least_deg"])
    turnings = [turning_of(oriented, one, asked) for one in moved]
    wanted = [turning for turning in turnings if turning.count and _is_asked(oriented, turning, asked)]
    sets = [turning for turning in wanted if _is_set(turning, recording.rate_hz, asked)]
    alone = [turning for turning in wanted if turning.count == 1]
    return Found(
        rate_hz=recording.rate_hz,
        duration_s=recording.duration_s,
        sets=tuple(_found(oriented, turning, asked) for turning in sets),
        alone=tuple(_found(oriented, turning, asked) for turning in alone),
        other_motions=len(turnings) - len(sets) - len(alone),
        upside_down=bool(sets) and all(_contradicted(oriented, turning, asked) for turning in sets),
    )


def _is_asked(oriented: Oriented, turning: Turning, asked: Asked) -> bool:
    """Whether the motion is about one axis, which points where that of the asked motion does."""
    if asked.axis_from_vertical_deg is None:
        return True
    tilt = math.degrees(math.acos(min(abs(upward(oriented, turning)), 1.0)))
    off = abs(tilt - asked.axis_from_vertical_deg)
    return turning.on_axis >= asked.limits["measured_on_axis"] and off <= asked.limits["measured_axis_off_deg"]


def _is_set(turning: Turning, rate: float, asked: Asked) -> bool:
    whole = asked.out_s + asked.hold_s + asked.back_s + asked.relax_s
    slow = period_s(turning, rate) >= asked.limits["measured_shortest_of_asked"] * whole
    return turning.count >= asked.limits["measured_repetitions_least"] and regular(turning, asked.limits) and slow


def _found(oriented: Oriented, turning: Turning, asked: Asked) -> FoundSet:
    rate, first = oriented.recording.rate_hz, turning.stretch.first
    by_gravity = _sign_by_gravity(oriented, turning, asked)
    known = _sign_from_rest(turning, asked) or by_gravity or _sign_between(turning, asked)
    sign = known or turning.halves[0].sign
    angle = straightened(turning) * sign
    angle = angle - np.median(angle[[half.first for half in turning.halves if half.sign == sign] or [0]])
    every = max(len(angle) // _POINTS, 1)
    return FoundSet(
        began_s=(first + turning.halves[0].first) / rate,
        ended_s=(first + turning.halves[-1].end) / rate,
        count=turning.count,
        cut_off=not _is_whole(turning),
        repetitions=_repetitions(oriented, turning, sign, asked) if known is not None else (),
        elbow_drift_deg=drift_deg(oriented, turning, asked.limits)
        if asked.axis_from_vertical_deg is not None
        else None,
        elbow_within_deg=within_deg(oriented, turning, asked.limits) if asked.tells_within else None,
        time_s=(first + np.arange(len(angle))[::every]) / rate,
        angle_deg=angle[::every],
    )


def _repetitions(oriented: Oriented, turning: Turning, sign: int, asked: Asked) -> tuple[MeasuredRepetition, ...]:
    """The repetitions; along a path the forearm turns a little, and that is not the range."""
    found = repetitions_of(oriented, turning, sign)
    return found if asked.axis_from_vertical_deg is not None else tuple(replace(one, range_deg=None) for one in found)


def _sign_from_rest(turning: Turning, asked: Asked) -> int | None:
    """The sign of the ways out: that of the first after a rest, or the other one of the last before it.

    None where the rest in the recording is so short that it may be the hold of a repetition.
    """
    hold_s, stretch = asked.hold_s * _LONG_HOLD, turning.stretch
    if stretch.rest_before_s > max(hold_s, stretch.rest_after_s):
        return turning.halves[0].sign
    return -turning.halves[-1].sign if stretch.rest_after_s > hold_s else None


def _sign_between(turning: Turning, asked: Asked) -> int | None:
    """The sign of the ways out of a set with a little rest at both ends, each as long as the hold at least."""
    rest_s = min(turning.stretch.rest_before_s, turning.stretch.rest_after_s)
    return turning.halves[0].sign if _is_whole(turning) and rest_s >= asked.hold_s else None


def _is_whole(turning: Turning) -> bool:
    """Whether a set begins and ends at rest, with as many ways out as back."""
    return turning.stretch.still_before and turning.stretch.still_after and len(turning.halves) % 2 == 0


def _sign_by_gravity(oriented: Oriented, turning: Turning, asked: Asked) -> int | None:
    """The sign of the ways out by the side and the exercise; None where the axis is too far from the vertical."""
    up = upward(oriented, turning)
    if asked.turns_up is None or abs(up) < _TELLS_DIRECTION:
        return None
    return asked.turns_up * (1 if up > 0 else -1)


def _contradicted(oriented: Oriented, turning: Turning, asked: Asked) -> bool:
    """Whether gravity says that a set begins from rest with the way back."""
    rest, gravity = _sign_from_rest(turning, asked), _sign_by_gravity(oriented, turning, asked)
    return rest is not None and gravity is not None and rest != gravity

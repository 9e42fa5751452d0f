"""Still phases, and the stretches of movement between them."""

import numpy as np
from msgspec import Struct

from coach.motion_capture.orientation import Oriented
from coach.motion_capture.results import Array

_MOVING_RAD_S = 0.07  # 4 degrees a second; the slowest tempo turns 40 degrees in ten seconds
_SHORTEST_S = 0.5  # a shorter movement counts only if it turns far, as half of a hurried way does


class Stretch(Struct, frozen=True):
    """Rows from `first` up to `end` in which the arm moves, with pauses shorter than between two sets."""

    first: int
    end: int
    still_before: bool
    """The arm is still before the stretch: it does not begin with the recording."""
    still_after: bool
    rest_before_s: float
    """For how long it is still before, in the recording."""
    rest_after_s: float
    recorded: int
    """The rows of the whole recording."""


def stretches(oriented: Oriented, longest_pause_s: float, turn_least_deg: float) -> tuple[Stretch, ...]:
    """The stretches of movement with no pause longer than `longest_pause_s`, widened by a little stillness."""
    rate, rows = oriented.recording.rate_hz, len(oriented.turning)
    fast = speed(oriented)
    turned = np.degrees(np.cumsum(fast)) / rate
    runs = [
        (first, end)
        for first, end in _runs(fast > _MOVING_RAD_S)
        if end - first >= _SHORTEST_S * rate or turned[end - 1] - turned[first] >= turn_least_deg
    ]
    joined: list[list[int]] = []
    for first, end in runs:
        if joined and first - joined[-1][1] <= longest_pause_s * rate:
            joined[-1][1] = end
        else:
            joined.append([first, end])
    around, edge = int(rate), int(_SHORTEST_S * rate / 2)
    before, after = [0, *(end for _, end in joined)], [*(first for first, _ in joined[1:]), rows]
    return tuple(
        Stretch(
            first=max(first - around, 0),
            end=min(end + around, rows),
            still_before=first > edge,
            still_after=end < rows - edge,
            rest_before_s=(first - earlier) / rate,
            rest_after_s=(later - end) / rate,
            recorded=rows,
        )
        for (first, end), earlier, later in zip(joined, before, after, strict=False)
    )


def speed(oriented: Oriented) -> Array:
    """How fast the sensor turns about any axis, in rad/s."""
    return np.asarray(np.linalg.norm(oriented.turning, axis=1))


def _runs(holds: "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]") -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], holds, [False])).astype(int)))
    return [(int(first), int(end)) for first, end in zip(edges[::2], edges[1::2], strict=True)]

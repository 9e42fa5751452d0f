"""A recording in SI units on a regular clock; what cannot be one is refused with its row."""

import numpy as np
from msgspec import Struct

from coach.motion_capture.results import Array
from coach.motion_capture.units import GRAVITY_M_S2

SLOWEST_HZ = 20.0
_FASTEST_HZ = 100.0  # more rows only take longer: a repetition has nothing above a few hertz
_LONGEST_GAP_S = 0.5
_SHORTEST_S, _LONGEST_S = 5.0, 90 * 60.0
_STILL_ROWS = 5  # equal times in a row; a clock of whole milliseconds may give two
_CLIPPED_ROWS = 4
_MAY_CLIP = (1.5 * GRAVITY_M_S2, 2.0)  # from here on equal extremes are the end of the scale, not rest


class Recording(Struct, frozen=True):
    """Acceleration in m/s2 and turning rate in rad/s, `rate_hz` rows a second, from 0 seconds on."""

    acceleration: Array
    turning: Array
    rate_hz: float
    began_at: float | None = None
    """Seconds since 1970, where the table holds the time of day."""

    @property
    def duration_s(self) -> float:
        """From the first row to the last."""
        return (len(self.turning) - 1) / self.rate_hz


class BadRecording(ValueError):
    """What cannot be a recording of a set, at a row from 0 and a column as an index of ROLES, if it has one."""

    def __init__(self, what: str, expected: str, fix: str, row: int | None = None, role: int = 0) -> None:
        self.expected, self.fix, self.row, self.role = expected, fix, row, role
        super().__init__(what)


def recording_of(time: Array, acceleration: Array, turning: Array) -> Recording:
    """A recording of rows with their times in seconds. Raises BadRecording."""
    _check_clock(time)
    for offset, values, from_ in ((1, acceleration, _MAY_CLIP[0]), (4, turning, _MAY_CLIP[1])):
        for axis in range(3):
            _check_values(values[:, axis], from_, offset + axis)
    forward = np.concatenate(([True], np.diff(time) > 0))
    time, acceleration, turning = time[forward], acceleration[forward], turning[forward]
    rate = min(_FASTEST_HZ, round((len(time) - 1) / float(time[-1] - time[0]), 3))
    regular = np.arange(time[0], time[-1] + 1e-9, 1 / rate)
    began_at = float(time[0]) if time[0] > 1e9 else None
    return Recording(
        np.column_stack([np.interp(regular, time, acceleration[:, axis]) for axis in range(3)]),
        np.column_stack([np.interp(regular, time, turning[:, axis]) for axis in range(3)]),
        rate,
        began_at,
    )


def _check_clock(time: Array) -> None:
    steps = np.diff(time)
    back = np.flatnonzero(steps < 0)
    if back.size:
        what = f"the time goes back by {-steps[back[0]]:.3g} s"
        fix = "export one recording into one table, with its rows in order"
        raise BadRecording(what, "a time that grows from row to row", fix, int(back[0]) + 1)
    still = _first_run(steps == 0, _STILL_ROWS)
    if still is not None:
        what = f"the clock stands still from here for {_STILL_ROWS} rows or more"
        fix = "name the column of the elapsed time with --columns, or export again with all digits of the time"
        raise BadRecording(what, "a time that grows from row to row", fix, still)
    duration = float(time[-1] - time[0])
    rate = (len(time) - 1) / duration
    if duration < _SHORTEST_S:
        what, expected = f"the table holds {duration:.1f} seconds", "a whole set, with two still seconds before it"
        raise BadRecording(what, expected, "record from before the set until after it")
    if duration > _LONGEST_S:
        hours, minutes = divmod(round(duration / 60), 60)
        what, expected = f"the table holds {hours} h {minutes} min", f"one session, at most {_LONGEST_S / 60:.0f} min"
        raise BadRecording(what, expected, "keep only the rows of the session")
    if rate < SLOWEST_HZ:
        what = f"there are {rate:.0f} rows a second, too few to time a repetition"
        raise BadRecording(what, f"at least {SLOWEST_HZ:.0f}", "set the sensor to 50 or 100 a second")
    gaps = np.flatnonzero(steps > _LONGEST_GAP_S)
    if gaps.size:
        at = int(gaps[0])
        what = f"{steps[at]:.1f} s are missing before this row"
        fix = "record again with the screen on and other programs closed, or keep only the rows of one whole set"
        raise BadRecording(what, f"no gap longer than {_LONGEST_GAP_S:g} s", fix, at + 1)


def _check_values(values: Array, may_clip_from: float, role: int) -> None:
    if len(values) > 1 and float(np.ptp(values)) == 0:
        what = "this column holds the same value in every row"
        raise BadRecording(what, "a sensor that moves", "look at the table: is it another column?", 0, role)
    for sign in (1, -1):
        greatest = float((sign * values).max())
        if greatest >= may_clip_from:
            clipped = _first_run(sign * values >= greatest * 0.9999, _CLIPPED_ROWS)
            if clipped is not None:
                what = "the sensor is at the end of its scale from here on, and what is beyond is lost"
                fix = "choose a larger scale for the sensor, or move more slowly"
                raise BadRecording(what, "values inside the scale", fix, clipped, role)


def _first_run(holds: "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]", least: int) -> int | None:
    """The first index of the first run of at least `least` true values."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], holds, [False])).astype(int)))
    runs = zip(edges[::2], edges[1::2], strict=True)
    return next((int(start) for start, end in runs if end - start >= least), None)

"""The clock: no other module reads the time."""

from collections.abc import Callable
from datetime import datetime, timedelta

from coach.session.state import Instant
from coach.system import steady_s

Clock = Callable[[], Instant]

# Between two readings, steady clock and time of day may differ by so many seconds: the time of day is cut to whole
# seconds, and a clock that is set from the network is moved by less than one at once (RFC 5905, from memory).
_CLOCKS_DIFFER_S = 2.0


def at_speed(clock: Clock, speed: float) -> Clock:
    """A clock that runs `speed` times as fast from now on; its time of day does, too."""
    start = clock()

    def scaled() -> Instant:
        elapsed_s = (clock().s - start.s) * speed
        return Instant(start.s + elapsed_s, start.at + timedelta(seconds=round(elapsed_s)))

    return scaled


def now() -> Instant:
    """Seconds of a steady clock, and the local time of day with its offset from UTC, to the second."""
    return Instant(steady_s(), datetime.now().astimezone().replace(microsecond=0))


class SessionClock:
    """A clock for one session, in which steady time and time of day agree.

    Where the time of day is further on than the steady clock, the computer slept, and the steady time is moved on by
    as much. Where it is behind, somebody set it back, and it goes on as if nobody had: the entries of a session are
    in order of time.
    """

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._last = clock()
        self._missed_s = 0.0
        self._set_back = timedelta()

    def __call__(self) -> Instant:
        """The present, later than or the same as the one before."""
        found, last = self._clock(), self._last
        self._last = found
        ahead_s = (found.at - last.at).total_seconds() - (found.s - last.s)
        if ahead_s > _CLOCKS_DIFFER_S:
            self._missed_s += ahead_s
        elif ahead_s < -_CLOCKS_DIFFER_S:
            self._set_back -= timedelta(seconds=round(ahead_s))
        return Instant(found.s + self._missed_s, found.at + self._set_back)

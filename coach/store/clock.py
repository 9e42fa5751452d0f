"""The clock: no other module reads the time."""

import time
from collections.abc import Callable
from datetime import datetime, timedelta

from coach.session.state import Instant

Clock = Callable[[], Instant]


def at_speed(clock: Clock, speed: float) -> Clock:
    """A clock that runs `speed` times as fast from now on; its time of day does, too."""
    start = clock()

    def scaled() -> Instant:
        elapsed_s = (clock().s - start.s) * speed
        return Instant(start.s + elapsed_s, start.at + timedelta(seconds=round(elapsed_s)))

    return scaled


def now() -> Instant:
    """Seconds of a monotonic clock, and the local time of day with its offset from UTC, to the second."""
    return Instant(time.monotonic(), datetime.now().astimezone().replace(microsecond=0))

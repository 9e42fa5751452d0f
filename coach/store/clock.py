"""The only place that reads a clock."""

import time
from collections.abc import Callable
from datetime import datetime, timedelta

from coach.session.state import Instant

Clock = Callable[[], Instant]


def at_speed(clock: Clock, speed: float) -> Clock:
    """A clock that runs `speed` times as fast from now on; the times of day go with it."""
    begun = clock()

    def scaled() -> Instant:
        gone_s = (clock().s - begun.s) * speed
        return Instant(begun.s + gone_s, begun.at + timedelta(seconds=round(gone_s)))

    return scaled


def now() -> Instant:
    """Seconds of the clock that never jumps, and the local time of day with its offset, to the second."""
    return Instant(time.monotonic(), datetime.now().astimezone().replace(microsecond=0))

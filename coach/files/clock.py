"""The only place that reads a clock."""

import time
from collections.abc import Callable
from datetime import datetime

from coach.session.runner import Present

Clock = Callable[[], Present]


def now() -> Present:
    """Seconds of the clock that never jumps, and the local time of day with its offset, to the second."""
    return Present(time.monotonic(), datetime.now().astimezone().replace(microsecond=0))

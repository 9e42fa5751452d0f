"""A clock that moves only when a test moves it."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone

from coach.session.state import Instant

START = datetime(2026, 11, 24, 18, 5, tzinfo=timezone(timedelta(hours=1)))


@dataclass
class FakeClock:
    """Call it for the present; `advance` lets time pass."""

    start: datetime = START
    s: float = field(default=0.0)

    def __call__(self) -> Instant:
        return Instant(self.s, (self.start + timedelta(seconds=self.s)).replace(microsecond=0))

    def advance(self, seconds: float) -> None:
        """Let time pass."""
        self.s += seconds

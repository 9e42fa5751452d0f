"""Elapsed time as banked plus running: nothing is counted, so no tick can be lost. Pure, seconds."""

from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Stopwatch:
    """Seconds banked, and since when it runs; None while it stands still."""

    banked_s: float = 0.0
    since_s: float | None = None

    def elapsed_s(self, now_s: float) -> float:
        """Seconds gone by `now_s`."""
        return self.banked_s + (0.0 if self.since_s is None else max(0.0, now_s - self.since_s))

    def started(self, now_s: float) -> "Stopwatch":
        """The stopwatch running from now on; unchanged if it runs already."""
        return self if self.since_s is not None else replace(self, since_s=now_s)

    def stopped(self, now_s: float) -> "Stopwatch":
        """The stopwatch standing still at what it shows now."""
        return Stopwatch(self.elapsed_s(now_s), None)

"""The moment of the next change on a page, beside the regular frames, and the time kept clear before it."""

import asyncio
from collections.abc import Callable

# A timer may fire slightly early, so it is set to just after the change.
_JUST_AFTER_S = 0.0005


class ChangeTimer:
    """Wakes an app at a change. Times are those of the session."""

    def __init__(self, clear_s: float) -> None:
        self._handle: asyncio.TimerHandle | None = None
        self._at_s = 0.0
        self._clear_s = clear_s

    def wake_at(self, at_s: float, wait_s: float, wake: Callable[[], object]) -> None:
        """Call `wake` at a change that comes in so many seconds; nothing, where that is waited for already."""
        if abs(at_s - self._at_s) < _JUST_AFTER_S:
            return
        self.cancel()
        self._handle = asyncio.get_running_loop().call_later(wait_s + _JUST_AFTER_S, wake)
        self._at_s = at_s

    def is_near(self, now_s: float) -> bool:
        """Whether a change comes so soon that a frame drawn before it would hold up its tone."""
        return 0 < self._at_s - now_s < self._clear_s

    def cancel(self) -> None:
        """Cancel the timer."""
        if self._handle is not None:
            self._handle.cancel()

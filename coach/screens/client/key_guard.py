"""Which key presses are too early to be answers: those older than the page, and repeats of a key that is held."""

from collections.abc import Callable

# Ours: nobody has read a page after half a second. Held keys repeat after a quarter of a second to one second, as the
# keyboard settings of the common systems allow, and then many times a second.
SETTLE_S, REPEAT_S = 0.5, 1.0


class KeyGuard:
    """Tells whether a key press can be meant for the page that is shown. `clock` returns monotonic seconds."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._shown_at_s: float | None = None
        self._last_key = ""
        self._last_at_s = 0.0

    def page_changed(self) -> None:
        """Another page is about to be painted: until `page_shown` no key counts."""
        self._shown_at_s = None

    def page_shown(self) -> None:
        """The page has been painted."""
        if self._shown_at_s is None:
            self._shown_at_s = self._clock()

    def accepts(self, key: str) -> bool:
        """Note a key press; return whether it came late enough and is no repeat of the one before."""
        now_s = self._clock()
        repeated = key == self._last_key and now_s - self._last_at_s < REPEAT_S
        self._last_key, self._last_at_s = key, now_s
        return not repeated and self._shown_at_s is not None and now_s - self._shown_at_s >= SETTLE_S

"""Which key presses are too early to be answers: those older than the page, and repeats of a key that is held."""

import math
from collections.abc import Callable
from typing import Literal

# Ours: nobody has read a page after half a second. A held key repeats after a quarter of a second to two seconds, as
# the keyboard settings of the common systems allow (from memory), and then many times a second: faster than a finger.
SETTLE_S, REPEAT_S, HELD_AFTER_S = 0.5, 0.15, 2.0

Verdict = Literal["meant", "too_soon", "perhaps_held", "held"]
Moment = tuple[int, float | None]
"""How many keys were pressed, and since when the page is shown."""


class KeyGuard:
    """Tells whether a key press can be meant for the page that is shown. `clock` returns monotonic seconds.

    The first repeat of a held key cannot be told from a second tap until it is known whether more follow at once. So
    a press that may be one is judged once more when `REPEAT_S` are over: it was meant if neither a key nor another
    page has come since.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._shown_at_s: float | None = None
        self._last_key = ""
        self._last_at_s = 0.0
        self._presses = 0
        self._goes_on = False

    @property
    def moment(self) -> Moment:
        """What is the same as long as nothing happens."""
        return self._presses, self._shown_at_s

    def page_changed(self) -> None:
        """Another page is about to be painted: until `page_shown` no key counts."""
        self._shown_at_s = None

    def page_shown(self) -> None:
        """The page has been painted."""
        if self._shown_at_s is None:
            self._shown_at_s = self._clock()

    def judge(self, key: str, at_once: bool = False, pressed: Moment | None = None) -> Verdict:
        """Note a key press; return whether it came late enough and is no repeat of the one before.

        `at_once`: it has the same meaning on every page. `pressed`: the moment of a press that is judged once more.
        """
        if pressed is not None:
            return "meant" if pressed == self.moment else "held"
        now_s = self._clock()
        gap_s = now_s - self._last_at_s if key == self._last_key else math.inf
        self._last_key, self._last_at_s = key, now_s
        self._presses += 1
        if at_once:
            return "meant"
        # Of a key that repeats slowly: what follows a press that was too soon within half a second goes on with it.
        goes_on = self._goes_on and gap_s < SETTLE_S
        self._goes_on = goes_on or gap_s < REPEAT_S or self._shown_at_s is None or now_s - self._shown_at_s < SETTLE_S
        if self._goes_on:
            return "too_soon"
        return "perhaps_held" if gap_s < HELD_AFTER_S else "meant"

"""The one queue of everything that is heard, so that no two sounds overlap. Pure: time and lengths are passed in."""

import math
from collections.abc import Callable, Collection, Iterable
from enum import IntEnum

from msgspec import Struct

from coach.model.messages.client import SignalName


class Priority(IntEnum):
    """What goes first; the smallest number is the most urgent.

    A sound that has begun is cut short only by a more urgent one, or when its page is gone.
    """

    STOP = 0  # what keeps the client safe: nothing cuts it short, and it is never left out for want of room
    SIGNAL = 1  # a change in a set, with its word: at its moment or not at all
    LINE = 2  # a line of the page that is shown, in its order, each at the first moment that has room for it
    TICK = 3  # a second of the count-in without a word


class Sound(Struct, frozen=True):
    """Something to be heard: a tone, or words. It is begun before `until_s` or never."""

    priority: Priority
    words: str = ""
    tone: SignalName | None = None
    until_s: float = math.inf


LengthOf = Callable[[Sound], float | None]
"""The seconds that a sound takes; None while that is not known because its file is still being made."""


class SoundQueue:
    """The sounds that wait, in order of their priority and, within one, of their arrival."""

    def __init__(self) -> None:
        self._waiting: list[Sound] = []

    def add(self, sounds: Iterable[Sound]) -> None:
        """Add sounds behind those of the same priority."""
        self._waiting = sorted([*self._waiting, *sounds], key=lambda sound: sound.priority)

    def forget(self, priorities: Collection[Priority]) -> None:
        """Drop the waiting sounds of these priorities."""
        self._waiting = [sound for sound in self._waiting if sound.priority not in priorities]

    def forget_words(self) -> None:
        """Drop everything that would be spoken."""
        self._waiting = [sound for sound in self._waiting if not sound.words]

    def take(self, now_s: float, free_until_s: float, length_of: LengthOf) -> Sound | None:
        """The sound to begin now, taken off the queue; None if there is none that fits.

        A sound that would still last at `free_until_s`, when the next signal is due, is not begun. While the file of
        a line is being made, the lines behind it wait, so that a page is said in its order.
        """
        self._waiting = [sound for sound in self._waiting if sound.until_s > now_s]
        held_back: set[Priority] = set()
        for sound in self._waiting:
            if sound.priority in held_back:
                continue
            length_s = length_of(sound)
            if length_s is None:
                held_back.add(sound.priority)
            elif sound.priority is Priority.STOP or now_s + length_s <= free_until_s:
                self._waiting.remove(sound)
                return sound
        return None

    def unfinished(self, length_of: LengthOf) -> bool:
        """Whether a sound waits for its file."""
        return any(length_of(sound) is None for sound in self._waiting)

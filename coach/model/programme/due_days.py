"""The days on which a programme asks for a session: the one place that knows them.

An exercise with days of its own is due on those; every other one in each session, as often a week as its dose says.
"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec import Struct

from coach.model.base import Name
from coach.model.profile import WEEKDAYS, Weekday

if TYPE_CHECKING:
    from coach.model.programme.programme import Programme

_DAYS_PER_WEEK = 7


class DueDays(Struct, frozen=True):
    """How many days a week a session is asked for, and the weekdays on which an exercise is due by its own days."""

    a_week: int
    weekdays: tuple[Weekday, ...] = ()

    @property
    def are_named(self) -> bool:
        """Whether every day that is asked for is a certain weekday."""
        return bool(self.weekdays) and len(self.weekdays) >= self.a_week

    def is_named(self, day: date) -> bool:
        """Whether an exercise has this weekday among its own days."""
        return WEEKDAYS[day.weekday()] in self.weekdays

    def in_span(self, first: date, last: date) -> float:
        """How many days are asked for from one day to another, both included: weekdays are counted."""
        days = (last - first).days + 1
        if not self.are_named:
            return days * self.a_week / _DAYS_PER_WEEK
        return float(sum(self.is_named(first + timedelta(days=number)) for number in range(days)))


def due_days(exercises: Iterable[tuple[int, Sequence[Weekday]]]) -> DueDays:
    """The due days of exercises, of each the days a week of its dose and its own days."""
    each = tuple(exercises)
    named = {day for _, days in each for day in days}
    often = max((a_week for a_week, days in each if not days), default=0)
    return DueDays(max(often, len(named)), tuple(day for day in WEEKDAYS if day in named))


def own_days(programme: "Programme | None", name: Name | None) -> tuple[Weekday, ...]:
    """The days of an exercise; none where it is due in every session, or the client has no programme."""
    return () if programme is None or name not in programme.names else programme.exercise(name).days


def due_on(programme: "Programme", day: date) -> tuple[Name, ...]:
    """The names of the exercises that are due on a day; all of them where none has this weekday."""
    weekday = WEEKDAYS[day.weekday()]
    found = tuple(one.name for one in programme.exercises if not one.days or weekday in one.days)
    return found or programme.names

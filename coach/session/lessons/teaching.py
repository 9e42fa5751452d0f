"""Which faults are shown before the first set, and which form questions follow each set.

A fault is shown before it is asked about for the first time. The questions named first in a position are asked after
every set; the others take turns, the one asked longest ago first. What a session asks beside the former is limited: a
fault that is shown, and the client's own tempo, take the place of questions that take turns.
"""

import math
from collections.abc import Mapping, Sequence
from functools import cached_property

from msgspec import Struct

from coach.model.content_entries import FormQuestion
from coach.model.exercise import Position
from coach.model.progress import Progress
from coach.progression.timing import timing_is_off

_PLACES_OF_NEW = 2  # places that one more fault takes on its first day: its lesson and its question


class Teaching(Struct, frozen=True, dict=True):
    """What one session of `sets` sets shows and asks; `trial`: whether the client's own tempo is timed in it."""

    before: Progress
    position: Position
    questions: Mapping[str, FormQuestion]
    limits: Mapping[str, float]
    sets: int
    trial: bool

    @cached_property
    def lessons(self) -> tuple[FormQuestion, ...]:
        """The form questions whose faults are shown today, in order.

        Those never shown come first; once all were, the tempo where it was off, else the fault named last, until the
        form has been clean again for `cue_each_set_until` sets. Where this position asks about neither, one that
        comes later. The last two wait where the questions that are due leave no place.
        """
        of_position = [self.questions[name] for name in self.position.questions]
        new = [one for one in of_position if one.fault not in self._known]
        first = [one for one in new if one.name not in self.position.later]
        if first:
            return tuple(first[: round(self.limits["teach_each_session"])])
        fast = [one for one in of_position if one.wrong == "too_fast"]
        if fast and timing_is_off(self.before.trial, self.limits):
            return tuple(fast[:1])
        if is_shown_again(self.before, self.limits):
            again = [one for one in of_position if one.fault == self.before.newest_fault]
            if again:
                return tuple(again) if self._has_room_for(1) else ()
        return tuple(new[:1]) if self._has_room_for(_PLACES_OF_NEW) else ()

    @cached_property
    def form_of_sets(self) -> tuple[tuple[str, ...], ...]:
        """The names of the form questions after each set; only faults shown by then are asked about."""
        shown = self._known | {one.fault for one in self.lessons}
        always = [name for name in self._always if self.questions[name].fault in shown]
        timed = {name for name in self._in_turn if self.trial and self.questions[name].wrong == "too_fast"}
        others = [name for name in self._in_turn if self.questions[name].fault in shown and name not in timed]
        longest_first = sorted(others, key=lambda name: -self.before.form_asked.get(name, math.inf))
        turns = _cycled(longest_first, max(0, self._places - len(self.lessons)), self.sets)
        return tuple((*always, *turns[number :: self.sets]) for number in range(self.sets))

    @cached_property
    def _known(self) -> set[str]:
        return {*self.before.taught.get(self.before.exercise, ())}

    @property
    def _always(self) -> Sequence[str]:
        return self.position.questions[: round(self.limits["form_each_set"])]

    @property
    def _in_turn(self) -> Sequence[str]:
        return self.position.questions[round(self.limits["form_each_set"]) :]

    @cached_property
    def _taking_turns(self) -> int:
        """How many questions took turns until today."""
        return sum(self.questions[name].fault in self._known for name in self._in_turn)

    @property
    def _places(self) -> int:
        """How many lessons and questions that take turns today has room for, together.

        Few beside a trial; else enough for the questions to come round in time, for one after each set, and for
        teaching.
        """
        if self.trial:
            return round(self.limits["trial_places"])
        least = math.ceil(self._taking_turns / self.limits["form_asked_sessions"])
        learning = not self.before.form_asked.keys() >= {*self.position.questions}
        return max(self.sets, least, round(self.limits["teaching_places"]) if learning else 0)

    def _has_room_for(self, places: int) -> bool:
        """Whether the questions that are due leave so many places today.

        Where there are so many questions that no day would ever have room, a lesson does not wait for it.
        """
        due = len(questions_due(self.before, self.position, self.questions, self.limits))
        never = self._taking_turns + places > self._places * self.limits["form_asked_sessions"]
        return due + places <= self._places or (never and not self.trial)


def is_shown_again(before: Progress, limits: Mapping[str, float]) -> bool:
    """Whether the fault named last is to be shown again: until the form has been clean for some sets."""
    return before.newest_fault is not None and before.clean_sets < limits["cue_each_set_until"]


def questions_due(
    before: Progress, position: Position, questions: Mapping[str, FormQuestion], limits: Mapping[str, float]
) -> tuple[str, ...]:
    """The questions that take turns without which nothing could rise today: those shown, and not asked lately."""
    known, most = before.taught.get(before.exercise, ()), limits["form_asked_sessions"]
    others = position.questions[round(limits["form_each_set"]) :]
    shown = [name for name in others if questions[name].fault in known]
    return tuple(name for name in shown if before.form_asked.get(name, math.inf) + 1 >= most)


def _cycled(names: Sequence[str], wanted: int, sets: int) -> Sequence[str]:
    """The names again from the first until there are `wanted`, never one twice after the same set."""
    found: list[str] = []
    for index in range(wanted if names else 0):
        name = names[index % len(names)]
        if name in found[index % sets :: sets]:
            break
        found.append(name)
    return found

"""The order in which sessions and instructions count: by what each had seen when it was written, never by a clock.

Things written before format 2 come first, in order of time, and everything later knew them. Of two things that did
not know of each other a session comes before an instruction; otherwise the name of the computer decides, so that
the order is the same wherever and in whatever order copies are merged.

Instructions are of two kinds. One that restricts (a cap, a freeze, a lighter load, a repair that is noted) always
applies, also after a session that did not know of it. One that releases (ends a review, clears, lifts, a heavier
load) applies only if whoever signed it had seen every restriction there is: a warning sign, a stop, a cap. Otherwise
it is pending until it is signed again.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from coach.model import step_names
from coach.model.instruction import Instruction
from coach.model.option_names import InstructionKind
from coach.model.record import Record
from coach.progression.pain_reports import worst_reported
from coach.progression.rule_book import RuleBook

Event = Record | Instruction

_RESTRICTING: frozenset[InstructionKind] = frozenset({"begin_review", "freeze_load", "cap_range", "cap_position"})
_NEITHER: frozenset[InstructionKind] = frozenset({"change", "correct_date"})


class Placed(Struct, frozen=True):
    """An event in its place. `knew_all`: whether it knew every session before it.

    `pending`: an instruction that releases and did not know a restriction. `again`: restrictions before a session
    that did not know of them, which apply again after it.
    """

    event: Event
    knew_all: bool = True
    pending: bool = False
    again: tuple[Instruction, ...] = ()


def restricts(event: Event, book: RuleBook) -> bool:
    """Whether something restricts what the client may do: an instruction, or a session that was stopped.

    Of a session without its end, a reported trouble or a pain over the limit counts as a stop.
    """
    if isinstance(event, Instruction):
        return _is_restriction(event)
    if event.ended is not None:
        return event.ended.decision.move == "stop" or event.ended.decision.status == "review"
    worst = worst_reported(event)
    hurts = worst is not None and worst > book.limits(event.limits)["pain_max"]
    return hurts or any(value != "none" for step, value in event.answers.items() if _is_trouble(step))


def _is_restriction(instruction: Instruction) -> bool:
    return instruction.what in _RESTRICTING or instruction.lighter is True or instruction.notes_repair


def releases(instruction: Instruction) -> bool:
    """Whether an instruction lets the client do more."""
    return not _is_restriction(instruction) and instruction.what not in _NEITHER


def place(records: Sequence[Record], instructions: Sequence[Instruction], book: RuleBook) -> tuple[Placed, ...]:
    """Records and instructions in the order in which they count; instructions that were taken back are left out."""
    events: list[Event] = [*records, *instructions]
    before = sorted((one for one in events if one.written is None), key=_time_of)
    written = [one for one in events if one.written is not None]
    if not written:
        return tuple(map(Placed, before))
    return tuple(_Order([*before, *_sorted(written)], book).placed())


class _Order:
    """Events in order, with the newest thing of each writer that each knew, directly or by what it knew."""

    def __init__(self, events: Sequence[Event], book: RuleBook) -> None:
        self._events = events
        self._known = _knowledge(events)
        self._restricting = [number for number, event in enumerate(events) if restricts(event, book)]

    def placed(self) -> Iterator[Placed]:
        """Each event in its place."""
        taken_back, newest = self._taken_back(), dict[str, int]()
        for number, event in enumerate(self._events):
            if isinstance(event, Record):
                known = self._known[number]
                behind = any(found > known.get(writer, 0) for writer, found in newest.items())
                yield self._record(number, event, taken_back) if behind else Placed(event)
            elif event.what != "take_back" and number not in taken_back:
                yield Placed(event, pending=releases(event) and not self._covers(number))
            if event.written is not None:
                newest[event.written.writer] = event.written.number

    def _record(self, number: int, record: Record, taken_back: frozenset[int]) -> Placed:
        """A session that did not know everything before it."""
        unknown = [one for one in range(number) if not self._knew(number, one)]
        restrictions = (self._events[one] for one in unknown if one in self._restricting and one not in taken_back)
        sessions = any(isinstance(self._events[one], Record) for one in unknown)
        again = tuple(one for one in restrictions if isinstance(one, Instruction))
        return Placed(record, knew_all=not sessions, again=again)

    def _knew(self, number: int, other: int) -> bool:
        """Whether an event knew another one, of which at least one is of format 2."""
        event, earlier = self._events[number], self._events[other]
        if event.written is None or earlier.written is None:
            return earlier.written is None and other < number
        if event.written == earlier.written:  # exercises of one session
            return _part(earlier) < _part(event)
        return earlier.written.number <= self._known[number].get(earlier.written.writer, 0)

    def _covers(self, number: int) -> bool:
        """Whether an event knew every restriction, but for those that knew it."""
        unrelated = (one for one in self._restricting if one != number and not self._knew(one, number))
        return all(self._knew(number, one) for one in unrelated)

    def _taken_back(self) -> frozenset[int]:
        """The instructions that were taken back before any session was done under them."""
        found = set[int]()
        for number, event in enumerate(self._events):
            if not isinstance(event, Instruction) or event.what != "take_back" or not self._covers(number):
                continue
            named = (one for one in range(number) if self._is_signed_at(one, event.signed_at))
            found |= {one for one in named if self._knew(number, one) and not self._done_under(one, number)}
        return frozenset(found)

    def _is_signed_at(self, number: int, at: datetime | None) -> bool:
        event = self._events[number]
        return isinstance(event, Instruction) and event.at == at and event.what != "take_back"

    def _done_under(self, instruction: int, take_back: int) -> bool:
        """Whether a session was done that knew an instruction and not that it was taken back."""
        sessions = (number for number, event in enumerate(self._events) if isinstance(event, Record))
        return any(self._knew(one, instruction) and not self._knew(one, take_back) for one in sessions)


def _sorted(events: Iterable[Event]) -> Iterator[Event]:
    """Events of format 2, each after all that it knew; of several that may come next, the first by `_tie`."""
    queues: dict[str, deque[Event]] = {}
    for event in sorted(events, key=lambda one: _tie(one)[1:]):
        queues.setdefault(_tie(event)[1], deque()).append(event)
    while queues:
        ready = [queue for queue in queues.values() if _may_come(queue[0], queues)]
        # Things that each say to have known the other cannot have been written so; none of them is lost for that.
        queue = min(ready or queues.values(), key=lambda one: _tie(one[0]))
        yield queue.popleft()
        queues = {writer: left for writer, left in queues.items() if left}


def _may_come(event: Event, queues: Mapping[str, Sequence[Event]]) -> bool:
    """Whether all that an event knew has come. `queues`: what has not, by writer."""
    seen = event.written.seen if event.written is not None else {}
    return not any(writer in queues and _tie(queues[writer][0])[2] <= number for writer, number in seen.items())


def _knowledge(events: Sequence[Event]) -> list[dict[str, int]]:
    """For each event of a sequence in order, the number of the newest thing of each writer that it knew."""
    known: list[dict[str, int]] = []
    of_writer: dict[str, list[tuple[int, dict[str, int]]]] = {}
    for event in events:
        written = event.written
        if written is None:
            known.append({})
            continue
        found = {**written.seen, written.writer: written.number - 1}
        for writer, number in tuple(found.items()):
            earlier = of_writer.get(writer, ())
            behind = next((one for one_number, one in reversed(earlier) if one_number <= number), {})
            for other, newest in behind.items():
                found[other] = max(found.get(other, 0), newest)
        known.append(found)
        of_writer.setdefault(written.writer, []).append((written.number, found))
    return known


def _part(event: Event) -> int:
    return event.part if isinstance(event, Record) else 0


def _tie(event: Event) -> tuple[bool, str, int, int, str]:
    written, is_record = event.written, isinstance(event, Record)
    if written is None:
        return (not is_record, "", 0, 0, "")
    return (not is_record, written.writer, written.number, _part(event), _time_of(event).isoformat())


def _time_of(event: Event) -> datetime:
    return event.last_at if isinstance(event, Record) else event.at


def _is_trouble(step: str) -> bool:
    return step_names.within_group(step) in (step_names.TROUBLE, step_names.within_group(step_names.SIGN))

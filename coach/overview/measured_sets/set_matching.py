"""Which sets of a session the sets in a table are, by their order and by the times between them."""

from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from msgspec import Struct

from coach.model.record import SetDone


class Match(Struct, frozen=True):
    """The numbers of the sets, and the second of the session's clock, since 1970, at which the table began."""

    numbers: tuple[int, ...]
    began_s: float


def matches(
    ended_s: Sequence[float], done: Sequence[SetDone], apart_s: float, began_at: float | None = None
) -> tuple[Match, ...]:
    """Every way in which the sets that ended at these seconds of a table can be sets of a session.

    As many in the table as in the session: one after the other. Fewer: each run of sets with the same times between
    them. Where the table holds the time of day and it agrees with one of them, that one alone. Times that are no more
    than `apart_s` seconds apart are the same.
    """
    if not ended_s:
        return ()
    fits = [
        one
        for first in range(len(done) - len(ended_s) + 1)
        for one in (_match(ended_s, done[first : first + len(ended_s)]),)
        if _alike(ended_s, one[1], apart_s) or len(ended_s) == len(done)
    ]
    found = tuple(one for one, _ in fits)
    if began_at is not None:
        same = tuple(one for one in found if abs(one.began_s - began_at) <= apart_s)
        return same if len(same) == 1 else found
    return found


def sets_of(
    ended_s: Sequence[float],
    done: Sequence[SetDone],
    every: Sequence[SetDone],
    apart_s: float,
    began_at: float | None = None,
) -> range | None:
    """Which of the sets that ended at these seconds of a table are of a session; None where that is left open.

    `every` are the sets of all sessions in order, `done` among them. All, where the times between them are those of
    the session; else those that ended when one of the session did, by the time of day in the table; else, where the
    session has fewer, those that the times between the sets tell.
    """
    ends, times = [one.at.timestamp() for one in done], [one.at.timestamp() for one in every]
    everything = range(len(ended_s))
    if _runs(ended_s, ends, apart_s):
        return everything
    clock = [began_at + end for end in ended_s] if began_at is not None else []
    then = [number for number, at in enumerate(clock) if min(abs(at - end) for end in ends) <= apart_s]
    if then:
        return range(then[0], then[-1] + 1)
    place = every.index(done[0])
    found = {
        range(max(place - start, 0), min(place - start + len(done), len(ended_s)))
        for start in _runs(ended_s, times, apart_s)
        if place - len(ended_s) < start < place + len(done)
    }
    if not found and len(ended_s) <= len(done):
        return everything
    if not found and len(done) > 1:
        found = {range(start, start + len(done)) for start in _runs(ends, ended_s, apart_s)}
    return found.pop() if len(found) == 1 else None


def _runs(short: Sequence[float], long: Sequence[float], apart_s: float) -> list[int]:
    """Where in the longer sequence the times between are those of the shorter one."""
    starts = range(len(long) - len(short) + 1)
    return [start for start in starts if _alike(short, long[start : start + len(short)], apart_s)]


def match_from(ended_s: Sequence[float], done: Sequence[SetDone], first: int) -> Match | None:
    """The match whose first set has this number; None where the session has not as many from there on."""
    numbers = [one.number for one in done]
    if first not in numbers or len(numbers) - numbers.index(first) < len(ended_s):
        return None
    return _match(ended_s, done[numbers.index(first) :][: len(ended_s)])[0]


def _match(ended_s: Sequence[float], done: Sequence[SetDone]) -> tuple[Match, list[float]]:
    ends = [one.at.timestamp() for one in done]
    began = median(end - at for end, at in zip(ends, ended_s, strict=True))
    return Match(tuple(one.number for one in done), began), ends


def _alike(one: Sequence[float], other: Sequence[float], apart_s: float) -> bool:
    between = zip(_between(one), _between(other), strict=True)
    return all(abs(first - second) <= apart_s for first, second in between)


def _between(times: Sequence[float]) -> list[float]:
    return [later - earlier for earlier, later in pairwise(times)]

"""Which sets of a session the sets in a table are, by their order and by the times between them."""

from collections.abc import Sequence
from itertools import pairwise

from coach.model.record import SetDone

_APART_S = 20.0  # further apart than this the times of two patterns are not the same


def match_sets(ended_s: Sequence[float], done: Sequence[SetDone]) -> tuple[int, ...] | None:
    """The numbers of the sets of a session that ended at these seconds of a table; None where that is left open.

    As many in the table as in the session: one after the other. Fewer: the only run of sets with the same times
    between them.
    """
    ends = [one.at.timestamp() for one in done]
    fits = [
        first
        for first in range(len(done) - len(ended_s) + 1)
        if _alike(ended_s, ends[first : first + len(ended_s)]) or len(ended_s) == len(done)
    ]
    if len(fits) != 1 or not ended_s:
        return None
    return tuple(one.number for one in done[fits[0] : fits[0] + len(ended_s)])


def _alike(one: Sequence[float], other: Sequence[float]) -> bool:
    between = zip(_between(one), _between(other), strict=True)
    return all(abs(first - second) <= _APART_S for first, second in between)


def _between(times: Sequence[float]) -> list[float]:
    return [later - earlier for earlier, later in pairwise(times)]

"""What visits add to what is known of a client: the one place where what was measured again meets the profile.

The newest dated value holds. Of the same day, a visit counts before the profile, and of two visits the later one.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from itertools import pairwise
from typing import TYPE_CHECKING

from coach.model.condition import ClientCondition, Irritability
from coach.model.profile import AvailableRange, Profile, Strength

if TYPE_CHECKING:
    from coach.model.programme.visit_file import VisitFile


def in_order(visits: Sequence["VisitFile"]) -> tuple["VisitFile", ...]:
    """Visits in the order in which they count: each after all that it knew, and otherwise by time."""
    left, ordered = sorted(visits, key=lambda one: (one.at, _writer(one))), list["VisitFile"]()
    while left:
        ready = (one for one in left if not any(has_known(one, other) for other in left if other is not one))
        first = next(ready, left[0])  # visits that each say to have known the other cannot have been written so
        ordered.append(first)
        left.remove(first)
    return tuple(ordered)


def as_seen_at(visits: Sequence["VisitFile"], profile: Profile) -> Profile:
    """The client as known after these visits, which are in order: measurements, irritability and conditions."""
    if not visits:
        return profile
    visits = _at_days_that_fit(visits)
    newest_first = tuple(reversed(visits))
    judged = [_irritability(one) for one in newest_first] + [profile.irritability]
    return profile.model_copy(
        update={
            "ranges": (*(one for visit in newest_first for one in ranges_of(visit)), *profile.ranges),
            "strengths": (*(one for visit in newest_first for one in strengths_of(visit)), *profile.strengths),
            "irritability": max((one for one in judged if one is not None), key=lambda one: one.on, default=None),
            "condition": tuple(_conditions(visits, profile)),
        }
    )


def _at_days_that_fit(visits: Sequence["VisitFile"]) -> tuple["VisitFile", ...]:
    """The visits, each dated no later than those that knew it: a clock that was years ahead made it look newer.

    Otherwise what was measured under it would hold over everything measured in those years.
    """
    if all(one.day <= following.day for one, following in pairwise(visits)):
        return tuple(visits)
    fitting = list["VisitFile"]()
    for one in reversed(visits):
        day = min([one.day, *(later.day for later in fitting if has_known(later, one))])
        fitting.append(
            one if day == one.day else one.model_copy(update={"at": datetime.combine(day, one.at.timetz())})
        )
    return tuple(reversed(fitting))


def ranges_of(visit: "VisitFile") -> Iterator[AvailableRange]:
    """The active ranges of a visit as the profile has them; a passive one sets no load."""
    for one in visit.ranges:
        if one.active_deg is not None:
            yield AvailableRange(
                position=one.position,
                direction=one.direction,
                available_deg=one.active_deg,
                side=one.side,
                on=visit.day,
            )


def strengths_of(visit: "VisitFile") -> Iterator[Strength]:
    """The strengths of a visit as the profile has them."""
    for one in visit.strengths:
        yield Strength(
            position=one.position,
            direction=one.direction,
            force_n=one.force_n,
            lever_m=one.lever_m,
            side=one.side,
            on=visit.day,
        )


def _irritability(visit: "VisitFile") -> Irritability | None:
    if visit.irritability is None:
        return None
    return Irritability(level=visit.irritability, on=visit.day, by=visit.initials)


def _conditions(visits: Sequence["VisitFile"], profile: Profile) -> Iterator[ClientCondition]:
    """The conditions that hold: a visit ends those that it knew of, and of the profile those up to its day."""
    for condition in profile.condition:
        noted_on = condition.noted_on or condition.on
        if not any(one.ends(condition) and noted_on <= one.day for one in visits):
            yield condition
    for visit in visits:
        for condition in visit.condition:
            ended = (one for one in visits if one.ends(condition) and has_known(one, visit))
            if next(ended, None) is None and condition not in profile.condition:
                yield condition.model_copy(update={"noted_on": condition.noted_on or visit.day})


def has_known(one: "VisitFile", other: "VisitFile") -> bool:
    """Whether a visit knew another one when it was signed."""
    if one.written is None or other.written is None:
        return other.at < one.at
    return one.written.knew(other.written)


def _writer(visit: "VisitFile") -> str:
    return "" if visit.written is None else visit.written.writer


def known_before(profile: Profile, day: date) -> Profile:
    """What was measured of a client before a day."""
    ranges = tuple(one for one in profile.ranges if one.on < day)
    return profile.model_copy(
        update={"ranges": ranges, "strengths": tuple(one for one in profile.strengths if one.on < day)}
    )

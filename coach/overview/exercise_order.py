"""Whether another order of a programme's exercises saves fixing the band again between two of them."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

from msgspec import Struct

from coach.model.base import Name
from coach.model.profile import WEEKDAYS, Weekday
from coach.session.phrases import setup_of
from coach.session.plan import Plan

_Fixing = tuple[str, int, str, int]


class BetterOrder(Struct, frozen=True):
    """An order of all exercises that saves fixing the band again.

    `times` and `instead` are how often the band is fixed again between exercises with the present order and with this
    one, on the day where it saves the most.
    """

    names: tuple[Name, ...]
    times: int
    instead: int


def better_order(plans: Mapping[Name, Plan], days: Mapping[Name, tuple[Weekday, ...]]) -> BetterOrder | None:
    """The order that brings exercises with one fixing together; None where it saves nothing on any day.

    Exercises keep their order otherwise: an exercise is moved up to the first of those with the same anchor, height,
    band and strands. `days` are those on which each is due; without any it is due on every one.
    """
    fixings = {name: _fixing(plan) for name, plan in plans.items()}
    first_of = list(dict.fromkeys(fixings.values()))
    order = tuple(sorted(plans, key=lambda name: first_of.index(fixings[name])))
    compared = [
        (
            _times([fixings[name] for name in plans if name in due]),
            _times([fixings[one] for one in order if one in due]),
        )
        for due in ({name for name in plans if not days[name] or day in days[name]} for day in WEEKDAYS)
    ]
    times, instead = max(compared, key=lambda pair: pair[0] - pair[1])
    return BetterOrder(order, times, instead) if instead < times else None


def _fixing(plan: Plan) -> _Fixing:
    """What must be the same for a band to stay where it is: the mark and the side do not matter."""
    setup = setup_of(plan, plan.step)
    anchor = setup.placement.anchor.kind
    height_cm = setup.anchor_height_cm if anchor == "fixed" else 0
    return anchor, height_cm, plan.step.grade, plan.step.strands


def _times(fixings: Sequence[_Fixing]) -> int:
    return sum(one != other for one, other in pairwise(fixings))

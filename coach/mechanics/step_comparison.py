"""The steps of one ladder compared: intervals, torque through the arc, and how surely one is heavier than another."""

import math
from collections.abc import Mapping
from functools import cached_property

from msgspec import Struct

from coach.mechanics.anchor import Anchor
from coach.mechanics.load_uncertainty import COVERAGE, Contributions, LoadUncertainty
from coach.mechanics.torque import Arc, arc_at
from coach.model.exercise import Position
from coach.model.load_step import LoadStep
from coach.model.profile import Profile

Setup = tuple[str, int, int]
"""Grade, strands and distance in centimetres: what makes two steps of one ladder the same."""


def setup_key(step: LoadStep) -> Setup:
    """The band, strands and mark of a step."""
    return step.grade, step.strands, step.distance_cm


class StepComparison(Struct, frozen=True, dict=True):
    """What is known of the steps of one client in one position with the anchor in one place; computed when asked."""

    profile: Profile
    position: Position
    anchor: Anchor
    limits: Mapping[str, float]
    uncertainty: LoadUncertainty

    @cached_property
    def _arcs(self) -> dict[Setup, Arc]:
        return {}

    @cached_property
    def _chances(self) -> dict[tuple[Setup, Setup], float]:
        return {}

    @cached_property
    def _contributions(self) -> dict[Setup, Contributions]:
        return {}

    def with_interval(self, step: LoadStep) -> LoadStep:
        """The step with the 5 to 95 % interval of its mean torque, rounded like the mean."""
        below, above = self.contributions(step).interval_nm
        interval = {"low_nm": round(max(step.mean_nm + below, 0.0), 4), "high_nm": round(step.mean_nm + above, 4)}
        return step.model_copy(update=interval)

    def contributions(self, step: LoadStep) -> Contributions:
        """The contributions of all inputs to the mean torque of a step."""
        key = setup_key(step)
        if key not in self._contributions:
            self._contributions[key] = self.uncertainty.contributions(step)
        return self._contributions[key]

    def arc(self, step: LoadStep) -> Arc:
        """The load of a step through the arc."""
        key = setup_key(step)
        if key not in self._arcs:
            self._arcs[key] = arc_at(self.profile, self.position, step, step.distance_cm, self.anchor)
        return self._arcs[key]

    def torque_nm(self, step: LoadStep) -> tuple[float, ...]:
        """The torque at each degree of the arc, in newton metres."""
        return self.arc(step).torque_nm

    def chance_heavier(self, other: LoadStep, step: LoadStep) -> float:
        """The chance, from 0 to 1, that `other` is truly heavier than `step` on average over the arc."""
        pair = setup_key(other), setup_key(step)
        if pair not in self._chances:
            rise_nm = other.mean_nm - step.mean_nm
            self._chances[pair] = self.contributions(other).chance_above(rise_nm, self.contributions(step))
        return self._chances[pair]

    def nowhere_lighter(self, other: LoadStep, step: LoadStep) -> bool:
        """Whether the torque of `other` is nowhere on the arc below that of `step` by more than the spread.

        The spread is that of the difference between their mean torques, from its middle to the end at 95 %.
        """
        spread_nm = COVERAGE * self.contributions(other).difference_nm(self.contributions(step))
        torques = zip(self.torque_nm(other), self.torque_nm(step), strict=True)
        return all(theirs >= mine - spread_nm for theirs, mine in torques)

    def torque_interval_nm(self, step: LoadStep) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """The 5 and the 95 % ends of the torque at each degree of the arc, in newton metres.

        First order, with each input moved by its standard uncertainty (JCGM 100:2008, 5.1.3, note 2). Where the fit
        of a band needs draws, the standard deviation over some of them stands for its part.
        """
        middle = self.torque_nm(step)
        squares = [0.0] * len(middle)
        for moved in self.uncertainty.moved_arcs(step):
            squares = [
                square + (other - here) ** 2 for square, other, here in zip(squares, moved, middle, strict=True)
            ]
        half = [COVERAGE * math.sqrt(square) for square in squares]
        low = tuple(here - spread for here, spread in zip(middle, half, strict=True))
        return low, tuple(here + spread for here, spread in zip(middle, half, strict=True))

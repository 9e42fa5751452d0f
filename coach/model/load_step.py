"""A load step and where it stands on the load ladder."""

from typing import Annotated, ClassVar, Literal

from coach.frozen import Bounds, Field
from coach.model.base import DistanceCm, Frozen, Name, NameOnce
from coach.model.exercise import LoadUnit

Chance = Annotated[float, Bounds(ge=0, le=1)]


class ChosenStep(Frozen):
    """A load step as the therapist names it; its torque is computed."""

    grade: Name = Field(description="a band in profile.toml, by its name")
    strands: Literal[1, 2] = Field(
        description="1: one length of band; 2: looped round the anchor, both ends in the hand"
    )
    distance_cm: DistanceCm = Field(description="from below the anchor to the mark between the feet")
    share: Annotated[float, Bounds(gt=0, le=1)] | None = Field(
        default=None,
        description="the share of measured strength that an overruling load may reach, where that is above the limit",
    )


class LoadStep(Frozen):
    """One rung of the load ladder: band grade, strands and standing distance, with the computed load.

    The keys that end in _nm are those of format 1; along a path they hold newtons, which `unit` says.
    """

    checked_once: ClassVar[tuple[str, ...]] = ("grade",)
    grade: NameOnce
    strands: Literal[1, 2]
    distance_cm: DistanceCm
    mean_nm: Annotated[float, Bounds(ge=0)]
    peak_nm: Annotated[float, Bounds(ge=0)]
    low_nm: float | None = Field(default=None, description="the true mean torque is below this in 5 of 100")
    high_nm: float | None = Field(default=None, description="the true mean torque is above this in 5 of 100")
    unit: Literal["N"] | None = Field(
        default=None, description="newtons, of a load along a path; without it the loads are in newton metres"
    )
    underfoot: Literal[True] | None = Field(
        default=None, description="the distance is the length of band under the client's foot"
    )

    @property
    def load_unit(self) -> LoadUnit:
        """The unit of the mean and the peak."""
        return self.unit or "Nm"


NoNext = Literal["top", "strength", "uncertain", "too_large"]
"""Why no step is next: none is heavier; heavier ones are above the allowed share of strength; none is heavier surely
enough, without a lower peak or a lighter part of the arc; or the nearest rises by more than load_rise_max."""


class Rungs(Frozen):
    """A load step with its neighbours, so that a record can be judged without the ladder it came from.

    Chances are from 0 to 1. Records written before they were computed have none.
    """

    step: LoadStep
    next_step: LoadStep | None = Field(default=None, description="the smallest rise")
    next_chance: Chance | None = Field(default=None, description="the chance that it is truly heavier")
    next_largest: LoadStep | None = Field(
        default=None, description="the largest rise that the limits allow, where it is another step"
    )
    next_largest_chance: Chance | None = None
    no_next: NoNext | None = Field(default=None, description="why there is no next step")
    offered: LoadStep | None = Field(
        default=None, description="a larger rise, which only an instruction of the therapist takes"
    )
    elongation: Annotated[float, Bounds(ge=0)] | None = Field(
        default=None, description="how far the step stretches its band at most, as a fraction of the resting length"
    )
    easier: LoadStep | None = None
    easier_chance: Chance | None = Field(default=None, description="the chance that it is truly lighter")
    lighter: LoadStep | None = None

    def next_for(self, light: bool) -> LoadStep | None:
        """The step to rise to: after light work the largest rise, else the smallest; None where there is none."""
        return self.next_largest if light and self.next_largest is not None else self.next_step

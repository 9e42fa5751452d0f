"""A load step and where it stands on the load ladder."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import DistanceCm, Frozen, Name


class ChosenStep(Frozen):
    """A load step as the therapist names it; its torque is computed."""

    grade: Name = Field(description="a band in profile.toml, by its name")
    strands: Literal[1, 2] = Field(
        description="1: one length of band; 2: looped round the anchor, both ends in the hand"
    )
    distance_cm: DistanceCm = Field(description="from below the anchor to the mark between the feet")


class LoadStep(Frozen):
    """One rung of the load ladder: band grade, strands and standing distance, with the computed torque."""

    grade: Name
    strands: Literal[1, 2]
    distance_cm: DistanceCm
    mean_nm: Annotated[float, Field(ge=0)]
    peak_nm: Annotated[float, Field(ge=0)]


class Rungs(Frozen):
    """A load step with its neighbours, so that a record can be judged without its load ladder."""

    step: LoadStep
    next_step: LoadStep | None = None
    easier: LoadStep | None = None
    lighter: LoadStep | None = None

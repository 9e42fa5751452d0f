"""An exercise and its arm positions: geometry and what is asked, free of any language."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from coach.model.base import Frozen, Line, Name, PositionDeg
from coach.model.no_session import NoSession

Landmark = Literal["floor", "knee", "hip", "elbow", "shoulder", "eye"]
BandRuns = Literal["level", "downward"]
Direction = Literal["external", "internal"]
AnchorSide = Literal["other", "exercising"]
Mark = Literal["read", "abstract", "second hand", "memory", "ours", "common practice", "computed"]


class NoPosition(NoSession):
    """An exercise has no arm position at this abduction."""


class NoExercise(ValueError):
    """There is no exercise of this name."""


class Position(Frozen):
    """One arm position. Rotation 0 is the forearm pointing forward; it grows in the direction of the exercise."""

    abduction_deg: PositionDeg = Field(
        description="how far the upper arm is lifted: 0 at the side to 90 at shoulder height"
    )
    direction: Direction = Field(description="the rotation that the band resists: external or internal")
    plane_deg: Annotated[float, Field(ge=0, le=90)] = Field(description="plane of elevation: 0 frontal, 30 scapular")
    elbow_gap_cm: Annotated[float, Field(ge=0, le=15)] = Field(
        default=0, description="width of the gap kept between elbow and trunk, with the arm at the side"
    )
    arc_start_deg: Annotated[float, Field(ge=-90, le=90)] = Field(description="rotation at the start of the arc")
    available_deg: Annotated[float, Field(ge=0, le=120)] = Field(
        description="available range where the therapist has not measured it"
    )
    available_source: Line = Field(description="where the available range comes from")
    anchor_side: AnchorSide = Field(description="the side of the client on which the anchor is")
    anchor_landmark: Landmark = Field(description="anchor height where the therapist has not fixed one")
    band_runs: BandRuns | None = Field(
        default=None, description="how the band must run to the anchor at the start of the arc; None: any way"
    )
    body_turn_deg: Annotated[float, Field(ge=0, le=180)] = Field(description="90 side-on, 0 facing the anchor")
    setup_source: Line = Field(description="where the setup comes from")
    checks: tuple[Name, ...] = Field(description="checks before the first repetition, in order")
    questions: tuple[Name, ...] = Field(description="form questions after each set, in order")

    @model_validator(mode="after")
    def _gap_at_the_side(self) -> Self:
        if self.elbow_gap_cm and self.abduction_deg:
            raise ValueError(
                f"elbow_gap_cm belongs to the arm at the side, and this position lifts it to {self.abduction_deg} "
                "degrees: take the line out"
            )
        return self

    @model_validator(mode="after")
    def _ends_beyond_its_start(self) -> Self:
        if self.available_deg <= self.arc_start_deg:
            raise ValueError("available_deg is not beyond arc_start_deg: the arc would end before it starts")
        return self


class Exercise(Frozen):
    """One exercise; its positions in the order in which the trade takes them."""

    format: Literal[1]
    name: Name = Field(description="the name of the file")
    positions: Annotated[tuple[Position, ...], Field(min_length=1)] = Field(
        description="arm positions in the order in which the trade takes them"
    )

    def position(self, position_deg: int) -> Position:
        """The position at this abduction; NoPosition if the exercise has none there."""
        for position in self.positions:
            if position.abduction_deg == position_deg:
                return position
        known = ", ".join(str(position.abduction_deg) for position in self.positions)
        raise NoPosition(f"{self.name} has no position at {position_deg} degrees, only at {known}")

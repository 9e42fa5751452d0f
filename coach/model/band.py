"""A band on the client's own shelf, known by its measured force."""

from typing import Annotated, Self

from pydantic import Field, model_validator

from coach.model.base import Frozen, Line, Name


class BandPoint(Frozen):
    """One pull on a scale: the length of one strand and the force that held it there."""

    length_m: Annotated[float, Field(gt=0, le=10)] = Field(description="the stretched length of one strand")
    force_n: Annotated[float, Field(gt=0, le=1000)] = Field(description="the force that held it there, newtons")


class BandGrade(Frozen):
    """One resistance grade, from measured points; `looks` describes the band as the client sees it on the shelf."""

    name: Name = Field(description="how the files call it")
    looks: Line = Field(description="what the client sees on the shelf")
    resting_length_m: Annotated[float, Field(gt=0.05, le=5)] = Field(description="length with no pull on it")
    latex_free: bool | None = Field(
        default=None, description="free of natural rubber latex; without it, not known, which counts as not free"
    )
    points: Annotated[tuple[BandPoint, ...], Field(min_length=1, max_length=40)] = Field(
        description="measured pulls, at different lengths"
    )

    @model_validator(mode="after")
    def _points_are_stretched(self) -> Self:
        lengths = [point.length_m for point in self.points]
        for number, length in enumerate(lengths, 1):
            if length <= self.resting_length_m:
                raise ValueError(
                    f"item {number} of points, at {length} m, is not longer than the resting length of "
                    f"{self.resting_length_m} m: measure the force of a stretched band"
                )
            if length in lengths[: number - 1]:
                raise ValueError(
                    f"item {number} of points is as long as another, {length} m: "
                    "two points at one length cannot both be right, so keep the one you trust"
                )
        return self

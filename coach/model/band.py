"""A band on the client's own shelf, known by its measured force."""

from collections.abc import Sequence
from datetime import date
from itertools import pairwise
from typing import Annotated

from coach.frozen import Bounds, Field, check
from coach.model.base import Frozen, Line, Name


class BandPoint(Frozen):
    """One pull on a scale: the length of one strand and the force that held it there."""

    length_m: Annotated[float, Bounds(gt=0, le=10)] = Field(description="the stretched length of one strand")
    force_n: Annotated[float, Bounds(gt=0, le=1000)] = Field(description="the force that held it there, newtons")


Points = Annotated[tuple[BandPoint, ...], Bounds(min_length=1, max_length=40)]
RestingLength = Annotated[float, Bounds(gt=0.05, le=5)]


class EarlierMeasurement(Frozen):
    """How a band was measured before it was measured again; kept to be read, and used in no computation."""

    measured_on: date | None = Field(default=None, description="the day of that measurement, where it was noted")
    resting_length_m: RestingLength = Field(description="length with no pull on it, as of that day")
    points: Points = Field(description="measured pulls of that day")

    @check
    def _points_are_stretched(self) -> None:
        _refuse_bad_points(self.points, self.resting_length_m)


class BandGrade(Frozen):
    """One resistance grade, from measured points; `looks` describes the band as the client sees it on the shelf."""

    name: Name = Field(description="how the files call it")
    looks: Line = Field(description="what the client sees on the shelf")
    resting_length_m: RestingLength = Field(description="length with no pull on it")
    measured_on: date | None = Field(
        default=None,
        description="the day on which it was measured; without it, every repetition in the records has aged it since",
    )
    latex_free: bool | None = Field(
        default=None, description="free of natural rubber latex; without it, not known, which counts as not free"
    )
    points: Points = Field(description="measured pulls, at different lengths")
    earlier: tuple[EarlierMeasurement, ...] = Field(
        default=(), description="how it was measured before, the oldest first"
    )

    @check
    def _points_are_stretched(self) -> None:
        _refuse_bad_points(self.points, self.resting_length_m)

    @check
    def _measurements_in_order(self) -> None:
        dated = [*(one.measured_on for one in self.earlier), self.measured_on]
        days = [day for day in dated if day is not None]
        if self.earlier and self.measured_on is None:
            raise ValueError(
                "measured_on is missing: a band with an earlier measurement says when it was measured again"
            )
        for day, later in pairwise(days):
            if later < day:
                raise ValueError(
                    f"a measurement of {later} is listed after one of {day}: the oldest of earlier first, and "
                    "the newest beside the name of the band"
                )


class BandPiece(Frozen):
    """A piece of a roll of the clinic's shelf, which the client has at home; the roll is measured in clinic.toml."""

    roll: Name = Field(description="the band of the clinic's shelf, by its name in clinic.toml")
    name: Name | None = Field(default=None, description="how the files call it; without it, as the roll")
    looks: Line | None = Field(default=None, description="what the client sees on the shelf, where it differs")
    resting_length_m: RestingLength | None = Field(
        default=None, description="length of the piece with no pull on it; without it, that of the roll as measured"
    )
    given_on: date = Field(description="the day on which the client got it: use is counted from then")

    @property
    def called(self) -> str:
        """The name of the band."""
        return self.name or self.roll


def _refuse_bad_points(points: Sequence[BandPoint], resting_length_m: float) -> None:
    """Raise ValueError for a point that is not stretched, and for a second one at the same length."""
    lengths = [point.length_m for point in points]
    for number, length in enumerate(lengths, 1):
        if length <= resting_length_m:
            raise ValueError(
                f"item {number} of points, at {length} m, is not longer than the resting length of "
                f"{resting_length_m} m: measure the force of a stretched band"
            )
        if length in lengths[: number - 1]:
            raise ValueError(
                f"item {number} of points is as long as another, {length} m: "
                "two points at one length cannot both be right, so keep the one you trust"
            )

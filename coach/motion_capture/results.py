"""What was found in a recording, each value with its standard uncertainty; what cannot be known is None."""

from collections.abc import Mapping

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Asked(Struct, frozen=True):
    """What the client was asked to do, as far as it helps to read the recording."""

    out_s: float
    hold_s: float
    back_s: float
    relax_s: float
    rest_s: float
    turns_up: int | None
    """How the way out turns about the vertical, seen from above: 1 counter-clockwise, -1 clockwise; None: unknown."""
    axis_from_vertical_deg: float | None
    """The angle between the axis of the motion and the vertical; None where the motion is not a rotation."""
    limits: Mapping[str, float]
    """What counts as a turn, a set and another motion: the limits measured_..."""

    @property
    def longest_pause_s(self) -> float:
        """The longest pause that is still inside a set: halfway between the asked pauses and the rest, in bounds."""
        pause, least, most = (
            max(self.hold_s, self.relax_s),
            self.limits["measured_pause_least_s"],
            self.limits["measured_pause_most_s"],
        )
        return max(pause + least, min((pause + self.rest_s) / 2, pause + most))

    @property
    def tells_within(self) -> bool:
        """Whether a tilt of the axis within a repetition can be told from a turn of the trunk or of the strap."""
        tilt = self.axis_from_vertical_deg
        low, high = self.limits["measured_within_from_deg"], self.limits["measured_within_to_deg"]
        return tilt is not None and low <= tilt <= high


class Estimate(Struct, frozen=True):
    """A value with its standard uncertainty."""

    value: float
    u: float


class MeasuredRepetition(Struct, frozen=True):
    """One repetition, in seconds from the start of the recording, and in degrees."""

    began_s: float
    out_s: Estimate
    hold_s: Estimate | None
    back_s: Estimate | None
    relax_s: Estimate | None
    """The pause before the next repetition; None after the last."""
    range_deg: Estimate | None
    evenness: Estimate | None
    """Mean speed of the way out over its greatest: 1 for one speed all the way."""


class FoundSet(Struct, frozen=True):
    """One set: its repetitions, and the angle over time that they were found in."""

    began_s: float
    ended_s: float
    count: int
    cut_off: bool
    """The recording begins or ends inside the set, so that the count may be one too low or too high."""
    repetitions: tuple[MeasuredRepetition, ...]
    elbow_drift_deg: Estimate | None
    """How far the axis of the motion was tilted from the first to the last repetition."""
    elbow_within_deg: Estimate | None
    """How far it was tilted within a repetition, on the way out and back again."""
    time_s: Array
    angle_deg: Array

    @property
    def range_deg(self) -> Estimate | None:
        """The mean range of the repetitions."""
        return mean([one.range_deg for one in self.repetitions if one.range_deg is not None])


class Found(Struct, frozen=True):
    """Everything that was found in one recording."""

    rate_hz: float
    duration_s: float
    sets: tuple[FoundSet, ...]
    alone: tuple[FoundSet, ...]
    """Single repetitions with a pause around them."""
    other_motions: int
    """Stretches of movement that are not repetitions of what was asked."""
    upside_down: bool
    """Each set begins from rest with the way back, by the side and the direction of gravity in the table."""

    def unloaded_before(self, number: int) -> FoundSet | None:
        """The repetition without the band for the set at this place, from 0: the last after the set before it."""
        after = self.sets[number - 1].ended_s if number else 0.0
        between = [one for one in self.alone if after <= one.began_s < self.sets[number].began_s]
        return between[-1] if between else None

    @property
    def unloaded(self) -> FoundSet | None:
        """That of the first set."""
        return self.unloaded_before(0) if self.sets else None


def mean(values: list[Estimate]) -> Estimate | None:
    """The mean; its uncertainty is that of one value, because what they share does not average out."""
    if not values:
        return None
    each = np.array([one.value for one in values])
    return Estimate(float(each.mean()), float(np.mean([one.u for one in values])))

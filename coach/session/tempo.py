"""The time course of one set: count-in, then out, hold, back and relax for each repetition."""

from collections.abc import Iterator
from typing import Literal, NamedTuple

from msgspec import Struct

from coach.model.prescription import Tempo

Phase = Literal["count_in", "out", "hold", "back", "relax", "over"]


class PhaseTiming(NamedTuple):
    """A phase of one repetition: its start within the repetition and its length, in seconds."""

    phase: Phase
    start_s: float
    length_s: float


class SetTiming(Struct, frozen=True):
    """The timing of a set: a count-in in seconds, then repetitions at a tempo."""

    count_in_s: float
    repetitions: int
    tempo: Tempo

    @property
    def phases(self) -> tuple[PhaseTiming, ...]:
        """The phases of one repetition in order, including those of zero length."""
        tempo = self.tempo
        hold_s = tempo.out_s + tempo.hold_s
        return (
            PhaseTiming("out", 0.0, tempo.out_s),
            PhaseTiming("hold", tempo.out_s, tempo.hold_s),
            PhaseTiming("back", hold_s, tempo.back_s),
            PhaseTiming("relax", hold_s + tempo.back_s, tempo.relax_s),
        )

    def shown_moments(self) -> Iterator[tuple[str, float]]:
        """The middle of each phase that is seen in a set, in seconds from the start of the count-in.

        The phases are those of the first repetition, and "last" for the concentric phase of the last of several.
        """
        for phase, start_s, length_s in self.phases:
            if length_s and (phase != "relax" or self.repetitions > 1):
                yield phase, self.count_in_s + start_s + length_s / 2
        if self.repetitions > 1:
            yield "last", self.count_in_s + (self.repetitions - 1) * self.repetition_s + self.tempo.out_s / 2

    @property
    def under_load_s(self) -> float:
        """Seconds of one repetition under load."""
        return self.tempo.out_s + self.tempo.hold_s + self.tempo.back_s

    @property
    def repetition_s(self) -> float:
        """Seconds from the start of one repetition to the start of the next."""
        return self.under_load_s + self.tempo.relax_s

    @property
    def total_s(self) -> float:
        """Seconds from the start of the count-in to the end of the last eccentric phase."""
        return self.count_in_s + self.repetitions * self.repetition_s - self.tempo.relax_s


class SetMoment(Struct, frozen=True):
    """A moment of a set: the phase with its elapsed and remaining seconds, the current repetition, and those done."""

    phase: Phase
    repetition: int
    whole: int
    elapsed_s: float
    left_s: float

    @property
    def fraction(self) -> float:
        """The elapsed fraction of the phase, 0 to 1."""
        length = self.elapsed_s + self.left_s
        return self.elapsed_s / length if length > 0 else 1.0

    @property
    def arc_fraction(self) -> float:
        """Where the hand should be on the arc: 0 at its start, 1 at its end."""
        return {"out": self.fraction, "hold": 1.0, "back": 1.0 - self.fraction}.get(self.phase, 0.0)


def moment_at(time: SetTiming, elapsed_s: float) -> SetMoment:
    """The moment of a set at `elapsed_s` seconds after its count-in began."""
    if elapsed_s < time.count_in_s:
        return SetMoment("count_in", 1, 0, elapsed_s, time.count_in_s - elapsed_s)
    if elapsed_s >= time.total_s:
        return SetMoment("over", time.repetitions, time.repetitions, 0.0, 0.0)
    since = elapsed_s - time.count_in_s
    done = int(since // time.repetition_s)
    within = since - done * time.repetition_s
    for phase, start_s, length_s in time.phases:
        gone_s = within - start_s
        if gone_s < length_s:
            return SetMoment(phase, done + 1, done + (phase == "relax"), gone_s, length_s - gone_s)
    return SetMoment("relax", done + 1, done + 1, time.tempo.relax_s, 0.0)

"""The time course of one set: count-in, then out, hold, back and relax for each repetition."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from coach.model.prescription import Tempo

Phase = Literal["count_in", "out", "hold", "back", "relax", "over"]


class PhaseTime(NamedTuple):
    """A phase of one repetition: seconds from where the repetition begins, and how long it lasts."""

    phase: Phase
    start_s: float
    length_s: float


@dataclass(frozen=True)
class SetTime:
    """A set as a stretch of time: repetitions at a tempo after a count-in. Seconds."""

    count_in_s: float
    repetitions: int
    tempo: Tempo

    @property
    def phases(self) -> tuple[PhaseTime, ...]:
        """The phases of one repetition in order; one of no length is among them."""
        tempo = self.tempo
        hold_s = tempo.out_s + tempo.hold_s
        return (
            PhaseTime("out", 0.0, tempo.out_s),
            PhaseTime("hold", tempo.out_s, tempo.hold_s),
            PhaseTime("back", hold_s, tempo.back_s),
            PhaseTime("relax", hold_s + tempo.back_s, tempo.relax_s),
        )

    def seen(self) -> Iterator[tuple[str, float]]:
        """One moment of each phase that a set shows, in its middle: those of the first repetition, and "last", the
        way out of the last one where there are more; seconds from where the count-in begins."""
        for phase, start_s, length_s in self.phases:
            if length_s and (phase != "relax" or self.repetitions > 1):
                yield phase, self.count_in_s + start_s + length_s / 2
        if self.repetitions > 1:
            yield "last", self.count_in_s + (self.repetitions - 1) * self.repetition_s + self.tempo.out_s / 2

    @property
    def under_load_s(self) -> float:
        """Seconds of one repetition in which the band pulls on a working arm."""
        return self.tempo.out_s + self.tempo.hold_s + self.tempo.back_s

    @property
    def repetition_s(self) -> float:
        """Seconds from the start of one repetition to the start of the next."""
        return self.under_load_s + self.tempo.relax_s

    @property
    def total_s(self) -> float:
        """Seconds from the count-in to the end of the last return; nothing is relaxed after it."""
        return self.count_in_s + self.repetitions * self.repetition_s - self.tempo.relax_s


@dataclass(frozen=True)
class Moment:
    """Where a set is: the phase, its seconds gone and left, the repetition under way, and how many are whole."""

    phase: Phase
    repetition: int
    whole: int
    gone_s: float
    left_s: float

    @property
    def part(self) -> float:
        """How much of the phase is gone, 0 to 1."""
        length = self.gone_s + self.left_s
        return self.gone_s / length if length > 0 else 1.0

    @property
    def out_part(self) -> float:
        """Where the hand should be: 0 at the start of the arc, 1 at its end."""
        return {"out": self.part, "hold": 1.0, "back": 1.0 - self.part}.get(self.phase, 0.0)


def moment_at(time: SetTime, elapsed_s: float) -> Moment:
    """The moment of a set at `elapsed_s` seconds after its count-in began."""
    if elapsed_s < time.count_in_s:
        return Moment("count_in", 1, 0, elapsed_s, time.count_in_s - elapsed_s)
    if elapsed_s >= time.total_s:
        return Moment("over", time.repetitions, time.repetitions, 0.0, 0.0)
    since = elapsed_s - time.count_in_s
    done = int(since // time.repetition_s)
    within = since - done * time.repetition_s
    for phase, start_s, length_s in time.phases:
        gone_s = within - start_s
        if gone_s < length_s:
            return Moment(phase, done + 1, done + (phase == "relax"), gone_s, length_s - gone_s)
    return Moment("relax", done + 1, done + 1, time.tempo.relax_s, 0.0)

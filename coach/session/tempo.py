"""The time course of one set: count-in, then out, hold, back and relax for each repetition. Pure."""

from dataclasses import dataclass
from typing import Literal

from coach.model.prescription import Tempo

Phase = Literal["count_in", "out", "hold", "back", "relax", "over"]


@dataclass(frozen=True)
class SetTime:
    """A set as a stretch of time: repetitions at a tempo after a count-in. Seconds."""

    count_in_s: float
    repetitions: int
    tempo: Tempo

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
    for phase, length in _phases(time.tempo):
        if within < length:
            return Moment(phase, done + 1, done + (phase == "relax"), within, length - within)
        within -= length
    return Moment("relax", done + 1, done + 1, time.tempo.relax_s, 0.0)


def _phases(tempo: Tempo) -> tuple[tuple[Phase, float], ...]:
    return (("out", tempo.out_s), ("hold", tempo.hold_s), ("back", tempo.back_s), ("relax", tempo.relax_s))

"""What was done and answered in one session, written as it happens."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated, Any, Literal, Self

from pydantic import AwareDatetime, Field

from coach.model import step_names
from coach.model.base import Frozen, Line, Lines, Name, Pain, PositionDeg, Repetitions, SetNumber
from coach.model.load_step import LoadStep, Rungs
from coach.model.prescription import Dose

Move = Literal["progress", "hold", "regress", "stop"]
Variable = Literal["load", "repetitions", "position"]
Status = Literal["active", "paused", "review", "complete"]
Number = int | float | str
SetEnd = Literal["done", "stopped", "halted"]
How = Literal["finished", "stopped", "left"]
SkipReason = Literal["no_time", "too_tired", "not_usable"]
Settled = Literal["hours", "morning", "not_yet"]
GapReason = Literal["nothing", "fall", "operation", "injection"]
Relief = Literal["none", "painkiller", "injection"]
NightPain = Literal["on_that_side", "however_i_lie", "worse_or_more"]


class Decision(Frozen):
    """What follows from a session: the move, the one variable that changes, and why."""

    move: Move
    variable: Variable | None = None
    rule: Name
    reason: Lines
    source: Line
    numbers: dict[Name, Number] = {}
    load: LoadStep
    repetitions: Annotated[int, Field(ge=1)]
    status: Status
    tell: dict[Name, Line] = Field(default={}, description="what the therapist is to know, by the rule that says it")


class Answered(Frozen):
    """One answer: yes, no, not_sure, a number from 0 to 10, or the name of what was chosen."""

    kind: Literal["answer"] = "answer"
    at: AwareDatetime
    step: step_names.StepName
    value: Pain | Name


class SetDone(Frozen):
    """One set as it was done: whole repetitions, seconds under load, and how it ended."""

    kind: Literal["set"] = "set"
    at: AwareDatetime
    number: SetNumber
    repetitions: Annotated[int, Field(ge=0, le=99)]
    under_load_s: Annotated[float, Field(ge=0)]
    end: SetEnd


class LoadChanged(Frozen):
    """A step down within the session, with the neighbours of the new step."""

    kind: Literal["load"] = "load"
    at: AwareDatetime
    rule: Name
    rungs: Rungs


class BandAtHand(Frozen):
    """The client had another band at hand: its load step, never a heavier one, stands in for today."""

    kind: Literal["band"] = "band"
    at: AwareDatetime
    rungs: Rungs


class Ended(Frozen):
    """The last entry: the session was gone through, or stopped early, and what was decided."""

    kind: Literal["end"] = "end"
    at: AwareDatetime
    how: How
    decision: Decision


Entry = Annotated[Answered | SetDone | LoadChanged | BandAtHand | Ended, Field(discriminator="kind")]


@dataclass(frozen=True)
class _Told:
    """What the entries of a record tell, kept up with each new one: nothing is read from them twice."""

    answers: dict[str, Pain | Name]
    sets: tuple[SetDone, ...]
    in_use: Rungs
    kept: Rungs
    other_band: bool

    def and_then(self, entries: Iterable[Entry]) -> "_Told":
        """The same with more entries."""
        answers, sets = dict(self.answers), list(self.sets)
        in_use, kept, other_band = self.in_use, self.kept, self.other_band
        for entry in entries:
            if isinstance(entry, Answered):
                answers[entry.step] = entry.value
            elif isinstance(entry, SetDone):
                sets.append(entry)
            elif isinstance(entry, LoadChanged):
                in_use = kept = entry.rungs
            elif isinstance(entry, BandAtHand):
                in_use, other_band = entry.rungs, True
        return _Told(answers, tuple(sets), in_use, kept, other_band)


class Record(Frozen):
    """records/STARTED.toml: what was asked of the client, then every entry in order."""

    format: Literal[1]
    started: AwareDatetime
    exercise: Name
    position_deg: PositionDeg
    dose: Dose
    limits: dict[Name, float] = Field(default={}, description="what the therapist had moved on that day")
    repetitions: Repetitions = Field(description="the goal for every set")
    rungs: Rungs
    positions: tuple[PositionDeg, ...] = Field(default=(), description="the goal's positions on that day, in order")
    activities: tuple[Line, ...] = Field(default=(), description="the activities to be rated on that day")
    target_nm: float | None = Field(default=None, description="the target of this position on that day")
    held_by: Name | None = Field(
        default=None, description="the condition, or the irritability, by which nothing rises on that day"
    )
    night_pain_known: bool | None = Field(
        default=None, description="pain at night when lying on that side is signed as known, and it is asked about"
    )
    entry: tuple[Entry, ...] = ()

    @property
    def place(self) -> tuple[Name, int]:
        """The exercise and the position: what a load and its streaks belong to."""
        return self.exercise, self.position_deg

    @property
    def ended(self) -> Ended | None:
        """The closing entry, or None while the session runs or after it was interrupted."""
        last = self.entry[-1] if self.entry else None
        return last if isinstance(last, Ended) else None

    @property
    def last_at(self) -> AwareDatetime:
        """When the client last did or said something; a record that was closed later keeps its time."""
        return next((one.at for one in reversed(self.entry) if not isinstance(one, Ended)), self.started)

    @cached_property
    def _told(self) -> _Told:
        return _Told({}, (), self.rungs, self.rungs, other_band=False).and_then(self.entry)

    @property
    def answers(self) -> dict[str, Pain | Name]:
        """The last answer given to each step."""
        return self._told.answers

    def answer(self, step: str) -> Pain | Name | None:
        """The last answer given to one step, or None."""
        return self._told.answers.get(step)

    @property
    def sets_done(self) -> tuple[SetDone, ...]:
        """The sets in the order in which they were done."""
        return self._told.sets

    @property
    def rungs_now(self) -> Rungs:
        """The load step in use after the last change, with its neighbours."""
        return self._told.in_use

    @property
    def rungs_kept(self) -> Rungs:
        """The load step of the programme: a band that only stood in for today does not change it."""
        return self._told.kept

    @property
    def other_band(self) -> bool:
        """Whether another band stood in."""
        return self._told.other_band

    def skipped_because(self, number: int) -> str | None:
        """Why a set was skipped before it began; None where it was not."""
        why = self.answer(step_names.in_set(number, step_names.SKIP))
        return None if why is None or any(one.number == number for one in self.sets_done) else str(why)

    @property
    def skipped(self) -> dict[int, str]:
        """The sets that were skipped before they began, each with its reason."""
        reasons = {number: self.skipped_because(number) for number in range(1, self.dose.sets + 1)}
        return {number: why for number, why in reasons.items() if why is not None}

    @property
    def sets_today(self) -> int:
        """The sets of this session: those of the dose, or fewer where the client has no time for more."""
        chosen = self.answer(step_names.SETS_TODAY)
        return min(max(chosen, 1), self.dose.sets) if isinstance(chosen, int) else self.dose.sets

    @property
    def sets_due(self) -> int:
        """The sets without which the session is not whole: fewer than the dose's only where it allows that."""
        least = self.dose.sets_least
        return self.sets_today if least is not None and self.sets_today >= least else self.dose.sets

    def on(self, started: AwareDatetime) -> "Record":
        """The same session on another day; its entries keep their times."""
        return super().model_copy(update={"started": started})

    def with_entry(self, *entries: Entry) -> "Record":
        """The record with these entries after the others."""
        longer = super().model_copy(update={"entry": (*self.entry, *entries)})
        longer.__dict__["_told"] = self._told.and_then(entries)
        return longer

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """As of every model; what the entries told is told anew where something else is put in their place."""
        copied = super().model_copy(update=update, deep=deep)
        copied.__dict__.pop("_told", None)
        return copied

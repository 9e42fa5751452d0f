"""What was done and answered in one session, written as it happens."""

from collections.abc import Iterable
from functools import cached_property
from typing import Annotated, ClassVar, Literal

from msgspec import Struct

from coach.frozen import AwareDatetime, Bounds, Field
from coach.model import step_names
from coach.model.base import (
    Frozen,
    Line,
    Lines,
    Name,
    NameOnce,
    Pain,
    PositionName,
    PositionNameOnly,
    Repetitions,
    SetNumber,
    Side,
)
from coach.model.load_step import LoadStep, Rungs
from coach.model.prescription import Dose
from coach.model.programme.written import Written

Move = Literal["progress", "hold", "regress", "stop"]
Variable = Literal["load", "repetitions", "position"]
Status = Literal["active", "paused", "review", "complete"]
Number = int | float | str
SetEnd = Literal["done", "stopped", "halted"]
SessionEnd = Literal["finished", "stopped", "left"]
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
    repetitions: Annotated[int, Bounds(ge=1)]
    status: Status
    tell: dict[Name, Lines] = Field(
        default={}, description="what the therapist should know, by the rule that reports it"
    )

    @property
    def raises_load(self) -> bool:
        """Whether the load goes up."""
        return self.move == "progress" and self.variable == "load"


class _Entry(Frozen, gc=False):
    """What every entry has: the exercise of the programme that it belongs to, where the session has several."""

    checked_once: ClassVar[tuple[str, ...]] = ("exercise",)
    exercise: NameOnce | None = None


class Answered(_Entry):
    """One answer: yes, no, not_sure, a number from 0 to 10, or the name of what was chosen."""

    kind: ClassVar[Literal["answer"]] = "answer"
    checked_once: ClassVar[tuple[str, ...]] = ("step", "value")
    at: AwareDatetime
    step: step_names.StepNameOnce
    value: Pain | NameOnce


class Chosen(_Entry):
    """An answer that would end the session, chosen and not yet confirmed.

    It counts once an `answer` entry of the same step confirms it, or where the session is left before that.
    """

    kind: ClassVar[Literal["chosen"]] = "chosen"
    at: AwareDatetime
    step: step_names.StepName
    value: Pain | Name


class TakenBack(_Entry):
    """The client took back the last answer to a step, or what was chosen there; it no longer counts."""

    kind: ClassVar[Literal["taken_back"]] = "taken_back"
    at: AwareDatetime
    step: step_names.StepName


class SetDone(_Entry):
    """One set as it was done: whole repetitions, seconds under load, and how it ended."""

    kind: ClassVar[Literal["set"]] = "set"
    at: AwareDatetime
    number: SetNumber
    repetitions: Annotated[int, Bounds(ge=0, le=99)]
    under_load_s: Annotated[float, Bounds(ge=0)]
    end: SetEnd


class LoadChanged(_Entry):
    """A step down during the session: the new load step with its neighbours."""

    kind: ClassVar[Literal["load"]] = "load"
    at: AwareDatetime
    rule: Name
    rungs: Rungs


class BandAtHand(_Entry):
    """The client had another band at hand: its load step, never a heavier one, replaces today's.

    An entry with the programme's own rungs means that the programme's own band is in use again.
    """

    kind: ClassVar[Literal["band"]] = "band"
    at: AwareDatetime
    rungs: Rungs


class OwnTempo(_Entry):
    """Repetitions without band and without guidance: the seconds that they took, and those that were right."""

    kind: ClassVar[Literal["own_tempo"]] = "own_tempo"
    at: AwareDatetime
    repetitions: Annotated[int, Bounds(ge=1, le=99)]
    took_s: Annotated[float, Bounds(ge=0)]
    right_s: Annotated[float, Bounds(gt=0)]


class Taught(_Entry):
    """A fault that was shown beside the right form, before the first set."""

    kind: ClassVar[Literal["taught"]] = "taught"
    checked_once: ClassVar[tuple[str, ...]] = ("fault",)
    at: AwareDatetime
    fault: NameOnce


class Ended(_Entry):
    """The last entry: how the session ended and what was decided."""

    kind: ClassVar[Literal["end"]] = "end"
    at: AwareDatetime
    how: SessionEnd
    decision: Decision


Entry = Answered | Chosen | TakenBack | SetDone | LoadChanged | BandAtHand | OwnTempo | Taught | Ended


class _EntrySummary(Struct, frozen=True):
    """What the properties of a record need from its entries, collected in one pass."""

    answers: dict[str, Pain | Name]
    unconfirmed: Chosen | None
    sets_done: tuple[SetDone, ...]
    rungs_of_sets: tuple[Rungs, ...]
    current_rungs: Rungs
    programme_rungs: Rungs
    other_band: bool
    said_in_sets: tuple[Answered, ...]
    own_tempo: OwnTempo | None
    taught: tuple[Name, ...]


def _summarize(entries: Iterable[Entry], rungs: Rungs) -> _EntrySummary:
    # Annotations, as a call of dict[str, Pain | Name] makes a union each time: a quarter of the time of all this.
    answers: dict[str, Pain | Name] = {}
    before: dict[str, list[Pain | Name]] = {}
    unconfirmed: Chosen | None = None
    sets_done: list[SetDone] = []
    rungs_of_sets: list[Rungs] = []
    current, programme = rungs, rungs
    other_band, set_with_other_band = False, False
    in_sets: list[Answered] = []
    own_tempo: OwnTempo | None = None
    taught: dict[Name, None] = {}
    for entry in entries:  # none of these classes has a subclass, and an isinstance that fails is slow
        if type(entry) is Answered:
            step = entry.step
            if step in answers:
                before.setdefault(step, []).append(answers[step])
            answers[step] = entry.value
            unconfirmed = None
            if step.startswith("set_"):
                in_sets.append(entry)
        elif type(entry) is Chosen:
            unconfirmed = entry
        elif type(entry) is TakenBack:
            if unconfirmed is None and entry.step in answers:
                _take_back(entry.step, answers, before)
            unconfirmed = None
        elif type(entry) is SetDone:
            sets_done.append(entry)
            rungs_of_sets.append(current)
            set_with_other_band = set_with_other_band or other_band
        elif type(entry) is LoadChanged:
            current = programme = entry.rungs
        elif type(entry) is BandAtHand:
            current = entry.rungs
            other_band = set_with_other_band or entry.rungs != programme
        elif type(entry) is OwnTempo:
            own_tempo = entry
        elif type(entry) is Taught:
            taught[entry.fault] = None
    return _EntrySummary(
        answers,
        unconfirmed,
        tuple(sets_done),
        tuple(rungs_of_sets),
        current,
        programme,
        other_band,
        tuple(in_sets),
        own_tempo,
        tuple(taught),
    )


def _take_back(step: str, answers: dict[str, Pain | Name], before: dict[str, list[Pain | Name]]) -> None:
    """The answer before the last one to a step counts again, or none."""
    earlier = before.get(step)
    if earlier:
        answers[step] = earlier.pop()
    else:
        del answers[step]


class Record(Frozen, dict=True):
    """What was asked of the client for one exercise in one session, then every entry in order.

    records/STARTED.toml of format 1 holds just this; of format 2 one for each exercise (`SessionFile`). `name`,
    `side`, `rise_taken` and what was written by whom are known of format 2 alone.
    """

    checked_once: ClassVar[tuple[str, ...]] = ("exercise", "form")
    format: Literal[1, 2]
    started: AwareDatetime
    exercise: NameOnce
    position: PositionName
    dose: Dose
    limits: dict[Name, float] = Field(default={}, description="limits that the therapist had moved, as of that day")
    repetitions: Repetitions = Field(description="the goal for every set")
    rungs: Rungs
    positions: tuple[PositionNameOnly, ...] = Field(
        default=(), description="positions of the goal as of that day, in order"
    )
    activities: tuple[Line, ...] = Field(default=(), description="activities to rate, as of that day")
    target_nm: float | None = Field(default=None, description="target of this position, as of that day")
    held_by: Name | None = Field(
        default=None, description="the condition, or the irritability, by which nothing rises on that day"
    )
    night_pain_known: bool | None = Field(
        default=None, description="pain at night when lying on that side is signed as known, and it is asked about"
    )
    form: tuple[tuple[NameOnce, ...], ...] = Field(
        default=(), description="form questions after each set; without them, all those of the position after each"
    )
    name: Name | None = Field(default=None, description="the exercise of the programme, by its name there")
    side: Side | None = Field(default=None, description="the shoulder that was trained")
    rise_taken: Name | None = Field(
        default=None, description="the exercise whose load rises in this session, so that no other does"
    )
    part: Annotated[int, Bounds(ge=0)] = Field(default=0, description="which exercise of the session it is, from 0")
    written: Written | None = Field(default=None, description="by which computer, and what that had seen")
    entry: tuple[Entry, ...] = ()

    @property
    def checked_in_before(self) -> bool:
        """Whether the check-in was counted with an earlier exercise of the session."""
        return self.part > 0

    @property
    def exercise_position(self) -> tuple[Name, Name]:
        """The exercise and the position that a load and its streaks belong to."""
        return self.exercise, self.position

    @property
    def ended(self) -> Ended | None:
        """The closing entry, or None while the session runs or after it was interrupted."""
        last = self.entry[-1] if self.entry else None
        return last if isinstance(last, Ended) else None

    @property
    def last_at(self) -> AwareDatetime:
        """When the client last did or answered something; closing the record later does not change it."""
        return next((one.at for one in reversed(self.entry) if not isinstance(one, Ended)), self.started)

    @cached_property
    def _summary(self) -> _EntrySummary:
        return _summarize(self.entry, self.rungs)

    @property
    def answers(self) -> dict[str, Pain | Name]:
        """The last answer to each step, without those taken back and those not confirmed."""
        return self._summary.answers

    @property
    def unconfirmed(self) -> Chosen | None:
        """What was chosen and neither confirmed nor taken back; None if there is nothing."""
        return self._summary.unconfirmed

    def last_said(self, step: str) -> Pain | Name | None:
        """The last answer given to one step even if it was taken back since, or None."""
        said = (one for one in reversed(self.entry) if isinstance(one, Answered) and one.step == step)
        return next((one.value for one in said), None)

    def answer(self, step: str) -> Pain | Name | None:
        """The last answer to one step, or None."""
        return self._summary.answers.get(step)

    @property
    def sets_done(self) -> tuple[SetDone, ...]:
        """The sets in the order in which they were done."""
        return self._summary.sets_done

    @property
    def rungs_of_sets(self) -> tuple[Rungs, ...]:
        """The load step of each set done, with its neighbours."""
        return self._summary.rungs_of_sets

    @property
    def current_rungs(self) -> Rungs:
        """The load step in use after the last change, with its neighbours."""
        return self._summary.current_rungs

    @property
    def programme_rungs(self) -> Rungs:
        """The load step of the programme: another band that was used only for this session does not change it."""
        return self._summary.programme_rungs

    @property
    def other_band(self) -> bool:
        """Whether another band than the programme's is in use, or a set was done with one."""
        return self._summary.other_band

    def skipped_because(self, number: int) -> str | None:
        """Why a set was skipped before it began; None if it was not skipped."""
        why = self.answer(step_names.in_set(number, step_names.SKIP))
        return None if why is None or any(one.number == number for one in self.sets_done) else str(why)

    @property
    def said_in_sets(self) -> tuple[Answered, ...]:
        """Every answer ever given to a step of a set, those changed afterwards too."""
        return self._summary.said_in_sets

    @property
    def own_tempo(self) -> OwnTempo | None:
        """The repetitions that were timed last in this session; None if none were."""
        return self._summary.own_tempo

    @property
    def taught(self) -> tuple[Name, ...]:
        """The faults that were shown in this session."""
        return self._summary.taught

    @property
    def skipped(self) -> dict[int, str]:
        """The sets that were skipped before they began, by their number, with the reason."""
        reasons = {number: self.skipped_because(number) for number in range(1, self.dose.sets + 1)}
        return {number: why for number, why in reasons.items() if why is not None}

    @property
    def sets_today(self) -> int:
        """The number of sets of this session: that of the dose, or fewer if the client has less time."""
        chosen = self.answer(step_names.SETS_TODAY)
        return min(max(chosen, 1), self.dose.sets) if isinstance(chosen, int) else self.dose.sets

    @property
    def sets_due(self) -> int:
        """The number of sets that make a whole session: fewer than in the dose only if the dose allows it."""
        least = self.dose.sets_least
        return self.sets_today if least is not None and self.sets_today >= least else self.dose.sets

    def on(self, started: AwareDatetime) -> "Record":
        """The same session started at another time; its entries keep their times."""
        return self.model_copy(update={"started": started})

    def moved_to(self, started: AwareDatetime) -> "Record":
        """The same session at another time, with its entries as long after its start as they were."""
        later = started - self.started
        entries = tuple(one.model_copy(update={"at": one.at + later}) for one in self.entry)
        return self.model_copy(update={"started": started, "entry": entries})

    def with_entry(self, *entries: Entry) -> "Record":
        """The record with these entries after the others."""
        return self.model_copy(update={"entry": (*self.entry, *entries)})

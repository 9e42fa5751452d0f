"""What the therapist prescribed, with the instructions signed since."""

import re
from datetime import date, datetime
from typing import Annotated, Literal

from coach.frozen import Bounds, Field, check
from coach.model.base import (
    DistanceCm,
    Frozen,
    Initials,
    Line,
    Name,
    PositionName,
    PositionNameOnly,
    Repetitions,
    SetNumber,
    position_in_words,
)
from coach.model.instruction import Instruction
from coach.model.load_step import ChosenStep


class Tempo(Frozen):
    """Seconds out, held at the end, back, and relaxed between repetitions."""

    out_s: Annotated[float, Bounds(ge=1, le=10)] = Field(description="seconds out, against the band")
    hold_s: Annotated[float, Bounds(ge=0, le=10)] = Field(description="seconds held at the end")
    back_s: Annotated[float, Bounds(ge=1, le=10)] = Field(description="seconds back, letting the band pull slowly")
    relax_s: Annotated[float, Bounds(ge=0, le=10)] = Field(description="seconds relaxed before the next repetition")


class Dose(Frozen):
    """Sets, repetition range, tempo, rest, days a week; and the count-in before each set."""

    sets: SetNumber = Field(description="sets of a session")
    sets_least: SetNumber | None = Field(
        default=None, description="so many sets are a whole session where there is no time for more; None: all sets"
    )
    repetitions_min: Repetitions = Field(description="bottom of the repetition range")
    repetitions_max: Repetitions = Field(
        description="top of the repetition range: with all sets clean there, load may go up"
    )
    tempo: Tempo
    rest_s: Annotated[int, Bounds(ge=10, le=600)] = Field(description="seconds of rest between sets")
    count_in_s: Annotated[int, Bounds(ge=3, le=60)] = Field(
        description="seconds counted down before each set; where a key begins it, first_count_in_s at least"
    )
    days_a_week: Annotated[int, Bounds(ge=1, le=7)] = Field(description="sessions a week")

    @check
    def _top_is_above_bottom(self) -> None:
        if self.repetitions_max < self.repetitions_min:
            raise ValueError("repetitions_max is below repetitions_min: swap them")

    @check
    def _least_is_within_sets(self) -> None:
        if self.sets_least is not None and self.sets_least > self.sets:
            raise ValueError("sets_least is above sets: a short session cannot have more sets than a whole one")

    def within_range(self, repetitions: int) -> int:
        """The repetitions, at least the bottom and at most the top of the repetition range."""
        return min(max(repetitions, self.repetitions_min), self.repetitions_max)


class PositionDose(Frozen):
    """What differs from the dose in one position; what is left out is as in the dose."""

    position: PositionName = Field(description="the position")
    sets: SetNumber | None = Field(default=None, description="sets of a session in this position")
    repetitions_min: Repetitions | None = Field(default=None, description="bottom of the repetition range there")
    repetitions_max: Repetitions | None = Field(default=None, description="top of the repetition range there")
    tempo: Tempo | None = Field(default=None, description="the tempo there")
    rest_s: Annotated[int, Bounds(ge=10, le=600)] | None = Field(default=None, description="seconds of rest there")

    def of(self, dose: Dose) -> Dose:
        """The whole dose in this position. Raises ValueError where the two do not go together."""
        own = {name: getattr(self, name) for name in PositionDose.model_fields if name != "position"}
        given = {name: value for name, value in own.items() if value is not None}
        return Dose(**{**{name: getattr(dose, name) for name in Dose.model_fields}, **given})


class FixedSetup(Frozen):
    """The parts of a setup that the therapist fixed for one position; the rest is computed."""

    position: PositionName = Field(description="the position that it is fixed for")
    anchor_height_cm: Annotated[int, Bounds(ge=0, le=300)] | None = Field(
        default=None, description="of the band's fixing above the floor; one of the heights in the client's home"
    )
    body_turn_deg: Annotated[float, Bounds(ge=0, le=180)] | None = Field(
        default=None, description="90 side-on, 0 facing the anchor"
    )
    distance_cm: DistanceCm | None = Field(
        default=None, description="from below the anchor to the mark between the feet"
    )


class BadDay(Frozen):
    """What the client may do after a stop or in review, set beforehand."""

    may_do: Literal["movement", "rest"] = Field(description="movement: the movement without band; or rest")
    soreness: Line = Field(description="what soreness is expected, in the client's language")
    again: Line = Field(description="when to begin again")
    ring: Line = Field(description="whom to ring; no number of a private person")
    answered: Line = Field(description="by when somebody answers")


class Target(Frozen):
    """The mean torque at which a position is complete."""

    position: PositionName = Field(description="the position")
    mean_nm: Annotated[float, Bounds(gt=0, le=60)] = Field(description="mean torque over the arc, newton metres")


class PrescribedExercise(Frozen):
    """What the therapist set for one exercise: positions in the order of the goal, dose, limits, targets."""

    exercise: Name = Field(description="the name of an exercise in the content")
    positions: Annotated[tuple[PositionNameOnly, ...], Bounds(min_length=1)] = Field(
        description="arm positions by their names, in the order of the goal"
    )
    aim: Literal["control", "strength"] = Field(
        default="control", description="what the load is for: it decides the share of measured strength"
    )
    dose: Dose
    limits: dict[Name, float] = Field(
        default={}, description="limits of the content moved for this client, inside their hard bounds"
    )
    bands: tuple[Name, ...] = Field(
        default=(), description="of the bands at home, those to be used; without it, all of them"
    )
    first_step: ChosenStep | None = Field(
        default=None, description="the load step to begin with; without it, it is computed"
    )
    setups: tuple[FixedSetup, ...] = Field(
        default=(), description="what is fixed for a position; the rest is computed"
    )
    doses: tuple[PositionDose, ...] = Field(
        default=(), description="what differs from the dose in a position: sets, repetitions, tempo or rest"
    )
    measured_holds: bool = Field(
        default=False, description="a fault that a sensor measured lets nothing rise, like an answer that names one"
    )
    targets: tuple[Target, ...] = Field(
        default=(), description="without one, a position is complete at the heaviest load step at home"
    )

    @check
    def _positions_once(self) -> None:
        if len(set(self.positions)) < len(self.positions):
            raise ValueError("positions names one position twice")

    @check
    def _targets_once(self) -> None:
        named = [target.position for target in self.targets]
        for name in named:
            if name not in self.positions:
                raise ValueError(f"a target names {position_in_words(name)}, which is not in positions")
            if named.count(name) > 1:
                raise ValueError(f"two targets for {position_in_words(name)}: keep one")

    @check
    def _doses_once_and_whole(self) -> None:
        named = [one.position for one in self.doses]
        for one in self.doses:
            where = position_in_words(one.position)
            if one.position not in self.positions:
                raise ValueError(f"doses names {where}, which is not in positions")
            if named.count(one.position) > 1:
                raise ValueError(f"two doses for {where}: keep one")
            try:
                one.of(self.dose)
            except ValueError as error:
                raise ValueError(f"the dose of {where}: {error}") from None

    def dose_at(self, position: Name) -> Dose:
        """The dose in a position."""
        return next((one.of(self.dose) for one in self.doses if one.position == position), self.dose)

    def target_nm(self, position: Name) -> float | None:
        """The target of a position in newton metres; None if the therapist set none."""
        return next((target.mean_nm for target in self.targets if target.position == position), None)

    @property
    def repetitions_least(self) -> int:
        """The lowest bottom of the repetition range in any position."""
        return min(self.dose_at(position).repetitions_min for position in self.positions)

    @property
    def repetitions_most(self) -> int:
        """The highest top of the repetition range in any position."""
        return max(self.dose_at(position).repetitions_max for position in self.positions)

    def fixed(self, position: Name) -> FixedSetup:
        """What is fixed for a position; an empty FixedSetup if nothing is."""
        for setup in self.setups:
            if setup.position == position:
                return setup
        return FixedSetup(position=position)


History = Annotated[
    tuple[Line, ...], Bounds(description="what was asked at intake and noted: instability, latex allergy, surgery")
]
GoalInWords = Annotated[Line, Bounds(description="what the client wants to do again, in their words")]
PrescribedBy = Annotated[Initials, Bounds(description="who prescribed")]
PrescribedOn = Annotated[date, Bounds(description="the day on which it was prescribed")]
RepairedOn = Annotated[date | None, Bounds(description="the day of a cuff repair, where there was one")]
Activities = Annotated[
    tuple[Line, ...],
    Bounds(max_length=5, description="what the client wants to do again, rated 0 to 10 every second week"),
]
OnABadDay = Annotated[
    BadDay | None, Bounds(description="what may be done after a stop or in review; never after a warning sign")
]


def _refuse_too_few(activities: tuple[Line, ...]) -> None:
    if len(activities) in (1, 2):
        raise ValueError(f"activities names {len(activities)}, too few for a mean: name three to five, or none")


class OfEveryExercise(Frozen):
    """What the therapist set for the client, whichever exercises are done."""

    history: History = ()
    goal: GoalInWords
    initials: PrescribedBy
    on: PrescribedOn
    repaired_on: RepairedOn = None
    activities: Activities = ()
    bad_day: OnABadDay = None

    @check
    def _activities_make_a_mean(self) -> None:
        _refuse_too_few(self.activities)


class Prescription(PrescribedExercise):
    """prescription.toml: positions in the order of the goal, dose, limits, and the instructions signed so far."""

    # The keys of `OfEveryExercise`, once more: a struct has one base.
    history: History = ()
    goal: GoalInWords
    initials: PrescribedBy
    on: PrescribedOn
    repaired_on: RepairedOn = None
    activities: Activities = ()
    bad_day: OnABadDay = None
    format: Literal[1]
    sign_offs: tuple[Instruction, ...] = Field(
        default=(), description="instructions signed since then: only added to, never changed"
    )

    @check
    def _activities_make_a_mean(self) -> None:
        _refuse_too_few(self.activities)

    @check
    def _instructions_fit_the_goal(self) -> None:
        for instruction in self.sign_offs:
            if instruction.exercise is not None:
                raise ValueError("an instruction names an exercise, and a prescription has only one: take it out")
            if instruction.position is not None and instruction.position not in self._positions_since(instruction.at):
                says = "unlocks" if instruction.what == "unlock_position" else "names"
                named = position_in_words(instruction.position)
                raise ValueError(f"an instruction {says} {named}, which is not in positions")

    def _positions_since(self, at: datetime) -> frozenset[str]:
        """The positions of the goal, now and as they were at any time since then: what was signed stays as it is."""
        later = (one for one in self.sign_offs if one.at > at)
        changes = (change for one in later for change in one.changed if change.key == "positions")
        before = (name for change in changes if change.was for name in re.findall(r"\w+", change.was))
        return frozenset((*self.positions, *before))

    @check
    def _overruled_inside_the_dose(self) -> None:
        low, high = self.repetitions_least, self.repetitions_most
        for instruction in self._signed_on_this_dose():
            asked = instruction.repetitions
            if asked is not None and not low <= asked <= high:
                raise ValueError(
                    f"an instruction asks for {asked} repetitions, outside the dose's own "
                    f"{low} to {high}: stay inside, or change the dose"
                )

    def _signed_on_this_dose(self) -> tuple[Instruction, ...]:
        """The instructions signed since the range of repetitions was last changed."""
        ranges = ("dose.repetitions_min", "dose.repetitions_max")
        changes = [
            one.at for one in self.instructions_not_taken_back if any(change.key in ranges for change in one.changed)
        ]
        return tuple(one for one in self.instructions_not_taken_back if not changes or one.at > changes[-1])

    @check
    def _taken_back_once_and_after(self) -> None:
        taken_back: set[datetime] = set()
        for instruction in self.sign_offs:
            when = instruction.signed_at
            if when is None:
                continue
            named = [one for one in self.sign_offs if one.at == when and one.what != "take_back"]
            said = f"an instruction takes back the instruction of {when.isoformat()}"
            if len(named) != 1:
                raise ValueError(f"{said}, and {len(named)} instructions were signed then: name the time of one")
            if instruction.at <= when:
                raise ValueError(f"{said}, which is not before it: look at the dates")
            if when in taken_back:
                raise ValueError(f"{said}, which is taken back already: keep one of the two")
            taken_back.add(when)

    @property
    def right_dates(self) -> dict[str, datetime]:
        """When a session that was recorded under a wrong clock began, by the name of its file."""
        return {one.record: one.right_at for one in self.sign_offs if one.record and one.right_at is not None}

    @property
    def with_right_dates(self) -> "Prescription":
        """The same, with every instruction at the date that the therapist has put right."""
        right = {one.wrong_at: one.right_at for one in self.sign_offs if one.wrong_at is not None}
        if not right:
            return self
        moved = tuple(
            one.model_copy(update={"at": right[one.at]}) if one.at in right and one.what != "correct_date" else one
            for one in self.sign_offs
        )
        return self.model_copy(update={"sign_offs": moved})

    @property
    def instructions_not_taken_back(self) -> tuple[Instruction, ...]:
        """The instructions by time, without those taken back and those that took them back."""
        taken_back = {one.signed_at for one in self.sign_offs if one.signed_at is not None}
        kept = (one for one in self.sign_offs if one.what != "take_back" and one.at not in taken_back)
        return tuple(sorted(kept, key=lambda one: one.at))

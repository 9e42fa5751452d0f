"""What the therapist set for a client: several exercises in order, on either side."""

from collections import Counter
from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from coach.model.base import Frozen, Initials, Line, Name, Side
from coach.model.instruction import Instruction
from coach.model.prescription import BadDay, PrescribedExercise, Prescription
from coach.model.profile import Profile, Weekday

MOST_EXERCISES = 8


class ProgrammeExercise(PrescribedExercise):
    """One exercise of a programme, with its side and its days."""

    name: Name = Field(default="", description="what it is called in the programme; without it, as the exercise")
    side: Side | None = Field(default=None, description="the shoulder; without it, that of the profile")
    days: tuple[Weekday, ...] = Field(
        default=(), description="the days on which it is due; without them, every session"
    )


class Programme(Frozen):
    """programme/NUMBER.toml: the exercises in order. The file with the highest number holds."""

    format: Literal[2]
    goal: Line = Field(description="what the client wants to do again, in their words")
    history: tuple[Line, ...] = Field(
        default=(), description="what was asked at intake and noted: instability, latex allergy, surgery"
    )
    initials: Initials = Field(description="who prescribed")
    on: date = Field(description="the day of the programme")
    repaired_on: date | None = Field(default=None, description="the day of a cuff repair, where there was one")
    activities: Annotated[tuple[Line, ...], Field(max_length=5)] = Field(
        default=(), description="what the client wants to do again, rated 0 to 10 every second week"
    )
    bad_day: BadDay | None = Field(
        default=None, description="what may be done after a stop or in review; never after a warning sign"
    )
    exercises: Annotated[tuple[ProgrammeExercise, ...], Field(min_length=1, max_length=MOST_EXERCISES)] = Field(
        description="the exercises in the order in which the session takes them"
    )

    @model_validator(mode="before")
    @classmethod
    def _with_names_and_dose(cls, given: Any) -> Any:
        """A dose at the top is that of each exercise without one; an exercise without a name is called as itself."""
        if not isinstance(given, Mapping) or not isinstance(given.get("exercises"), list | tuple):
            return given
        rest = {key: value for key, value in given.items() if key != "dose"}
        shared = {"dose": given["dose"]} if "dose" in given else {}
        return {**rest, "exercises": tuple(_completed(one, shared) for one in given["exercises"])}

    @model_validator(mode="after")
    def _names_once(self) -> Self:
        for name, count in Counter(self.names).items():
            if count > 1:
                raise ValueError(f"{count} exercises are called {name}: give each its own name, such as {name}_left")
        return self

    @model_validator(mode="after")
    def _activities_make_a_mean(self) -> Self:
        if len(self.activities) in (1, 2):
            raise ValueError(
                f"activities names {len(self.activities)}, too few for a mean: name three to five, or none"
            )
        return self

    @property
    def names(self) -> tuple[Name, ...]:
        """The names of the exercises, in order."""
        return tuple(one.name for one in self.exercises)

    def exercise(self, name: str) -> ProgrammeExercise:
        """The exercise of this name. Raises KeyError where the programme has none."""
        for one in self.exercises:
            if one.name == name:
                return one
        raise KeyError(name)

    def prescription(self, name: str, instructions: tuple[Instruction, ...] = ()) -> Prescription:
        """One exercise as it is prescribed, with the instructions that apply to it."""
        one = self.exercise(name)
        values = {key: getattr(one, key) for key in PrescribedExercise.model_fields}
        shared = {key: getattr(self, key) for key in SHARED}
        signed = tuple(each for each in instructions if each.exercise in (None, name))
        return Prescription.model_construct(format=1, **shared, **values, sign_offs=signed)

    def profile_for(self, name: str, profile: Profile) -> Profile:
        """The client as measured on the side of an exercise."""
        return profile.on_side(self.exercise(name).side or profile.side)

    def owner_of(self, exercise: str, side: Side, default_side: Side) -> Name | None:
        """The exercise that continues what was done before there was a programme; None where none does."""
        same = (one for one in self.exercises if (one.exercise, one.side or default_side) == (exercise, side))
        return next((one.name for one in same), None)


SHARED = ("goal", "history", "initials", "on", "repaired_on", "activities", "bad_day")
"""The keys of a programme that hold for all of its exercises."""


def _completed(given: object, shared: Mapping[str, object]) -> object:
    if not isinstance(given, Mapping):
        return given
    named = {"name": given["exercise"]} if "exercise" in given and "name" not in given else {}
    return {**shared, **named, **given}

"""What the therapist set for a client: several exercises in order, on either side."""

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from coach.frozen import Bounds, Field, Unfit, check
from coach.model.base import Name, Side
from coach.model.instruction import Instruction
from coach.model.prescription import Dose, OfEveryExercise, PrescribedExercise, Prescription, Tempo
from coach.model.profile import Profile, Weekday

MOST_EXERCISES = 8


class ProgrammeExercise(PrescribedExercise):
    """One exercise of a programme, with its side and its days."""

    optional_in_schema: ClassVar[tuple[str, ...]] = ("dose",)
    name: Name = Field(default="", description="what it is called in the programme; without it, as the exercise")
    side: Side | None = Field(default=None, description="the shoulder; without it, that of the profile")
    days: tuple[Weekday, ...] = Field(
        default=(), description="the days on which it is due; without them, every session"
    )
    alternates: bool = Field(
        default=False,
        description="done in turn with the exercise before it, set by set, so that one side rests while the other "
        "works; where only one of the two is due, by itself",
    )


class Programme(OfEveryExercise):
    """programme/NUMBER.toml: the exercises in order. The file with the highest number holds."""

    format: Literal[2]
    dose: Dose | None = Field(default=None, description="the dose of every exercise that has none of its own")
    exercises: Annotated[tuple[ProgrammeExercise, ...], Bounds(min_length=1, max_length=MOST_EXERCISES)] = Field(
        description="the exercises in the order in which the session takes them"
    )

    @classmethod
    def as_read(cls, given: Any) -> Any:
        """A dose at the top is that of each exercise without one; an exercise without a name is called as itself."""
        if not isinstance(given, Mapping) or not isinstance(given.get("exercises"), list | tuple):
            return given
        shared = {"dose": _shared_dose(given["dose"])} if "dose" in given else {}
        return {**given, "exercises": tuple(_completed(one, shared) for one in given["exercises"])}

    @check
    def _names_once(self) -> None:
        for number, one in enumerate(self.exercises, 1):
            if one.name in self.names[: number - 1]:
                free = f"{one.exercise}_{one.side}" if one.side is not None else f"{one.name}_{number}"
                what = f"item {number} of exercises is called {one.name}, as another one is"
                raise ValueError(f"{what}: give each its own name, such as {free}")

    @check
    def _alternates_in_pairs(self) -> None:
        for before, one in zip((None, *self.exercises), self.exercises, strict=False):
            if one.alternates and before is None:
                raise ValueError(f"{one.name} alternates with the exercise before it, and is the first: take it out")
            if one.alternates and before is not None and before.alternates:
                both = f"{before.name} and {one.name} both alternate with the exercise before them"
                raise ValueError(f"{both}: take one of them out, since only two can take turns")

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
        shared = {key: getattr(self, key) for key in OfEveryExercise.model_fields}
        signed = tuple(each for each in instructions if each.exercise in (None, name))
        return Prescription.model_construct(format=1, **shared, **values, sign_offs=signed)

    def alternates_with(self, name: str) -> Name | None:
        """The exercise before this one, with which it is done in turn; None where it is done by itself."""
        at = self.names.index(name)
        return self.names[at - 1] if self.exercises[at].alternates else None

    def on_both_sides(self, default_side: Side) -> bool:
        """Whether there are exercises for either shoulder."""
        return len({one.side or default_side for one in self.exercises}) > 1

    def profile_for(self, name: str, profile: Profile) -> Profile:
        """The client as measured on the side of an exercise."""
        return profile.on_side(self.exercise(name).side or profile.side)

    def owner_of(self, exercise: str, side: Side, default_side: Side) -> Name | None:
        """The exercise that continues what was done before there was a programme; None where none does."""
        same = (one for one in self.exercises if (one.exercise, one.side or default_side) == (exercise, side))
        return next((one.name for one in same), None)


_ANY_DOSE = Dose(
    sets=1,
    repetitions_min=1,
    repetitions_max=1,
    tempo=Tempo(out_s=1.0, hold_s=1.0, back_s=1.0, relax_s=1.0),
    rest_s=10,
    count_in_s=3,
    days_a_week=1,
)


def _shared_dose(given: object) -> object:
    """The dose at the top; where it is wrong, any other, so that the fault is found once and at its own place."""
    try:
        Dose.model_validate(given)
    except Unfit:
        return _ANY_DOSE.model_dump()
    return given


def _completed(given: object, shared: Mapping[str, object]) -> object:
    if not isinstance(given, Mapping):
        return given
    named = {"name": given["exercise"]} if "exercise" in given and "name" not in given else {}
    return {**shared, **named, **given}

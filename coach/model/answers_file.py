"""Prepared answers for a rehearsal: what happens if the client answers this way?"""

from typing import Annotated, Literal

from coach.frozen import Bounds, Field, form
from coach.model.base import MOST_SETS, Frozen, Name, Pain
from coach.model.step_names import StepName


class ExerciseAnswers(Frozen):
    """What is answered of one exercise."""

    answer: dict[StepName, Pain | Name] = Field(
        default={}, description='by the step, "set_2.blade", or by the question, "blade", for every set'
    )
    trial_s: Annotated[float, Bounds(ge=0)] | None = Field(
        default=None, description="seconds of the repetitions at the client's own tempo, where they are timed"
    )
    repetitions: dict[Annotated[str, form(rf"^[1-{MOST_SETS}]$")], Annotated[int, Bounds(ge=0, le=30)]] = Field(
        default={}, description='repetitions done, by the set: "2"'
    )


class Answers(ExerciseAnswers):
    """An answers file. Steps that it does not name are answered as in a clean session without pain.

    "set_2.trouble" presses the pain key in that set, after its `repetitions` or else after the first one; the file
    must then also answer where it hurts and how much.
    """

    format: Literal[1] = 1
    exercise: dict[Name, ExerciseAnswers] = Field(
        default={},
        description="of a programme: what is answered otherwise in one exercise, by its name; the check-in is common",
    )

    def of(self, name: str | None) -> "Answers":
        """The answers in one exercise of a programme: those of its own before those of every exercise."""
        own = self.exercise.get(name or "")
        if own is None:
            return self
        return Answers(
            answer={**self.answer, **own.answer},
            trial_s=self.trial_s if own.trial_s is None else own.trial_s,
            repetitions={**self.repetitions, **own.repetitions},
        )

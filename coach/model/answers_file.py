"""Prepared answers for a rehearsal: what happens if the client answers this way?"""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import MOST_SETS, Frozen, Name, Pain
from coach.model.step_names import StepName


class Answers(Frozen):
    """An answers file. Steps that it does not name are answered as in a clean session without pain.

    "set_2.trouble" presses the pain key in that set, after its `repetitions` or else after the first one; the file
    must then also answer where it hurts and how much.
    """

    format: Literal[1] = 1
    answer: dict[StepName, Pain | Name] = Field(
        default={}, description='by the step, "set_2.blade", or by the question, "blade", for every set'
    )
    trial_s: Annotated[float, Field(ge=0)] | None = Field(
        default=None, description="seconds of the repetitions at the client's own tempo, where they are timed"
    )
    repetitions: dict[Annotated[str, Field(pattern=rf"^[1-{MOST_SETS}]$")], Annotated[int, Field(ge=0, le=30)]] = (
        Field(default={}, description='repetitions done, by the set: "2"')
    )

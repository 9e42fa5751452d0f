"""Answers made up beforehand, for a rehearsal: what if the client answered so?"""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import MOST_SETS, Frozen, Name, Pain
from coach.model.step_names import StepName


class Answers(Frozen):
    """An answers file. What is not named is answered as in a clean session without pain.

    "set_2.trouble" presses the pain key in that set, after its `repetitions`, else after the first; where and how
    much are then to be named too.
    """

    format: Literal[1] = 1
    answer: dict[StepName, Pain | Name] = Field(
        default={}, description='by the step, "set_2.blade", or by the question, "blade", for every set'
    )
    repetitions: dict[Annotated[str, Field(pattern=rf"^[1-{MOST_SETS}]$")], Annotated[int, Field(ge=0, le=30)]] = (
        Field(default={}, description='repetitions done, by the set: "2"')
    )

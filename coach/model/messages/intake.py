"""en/intake.toml: the form for a new client."""

from typing import Literal

from pydantic import Field

from coach.model.base import Line, Name
from coach.model.messages.base_messages import PageWords
from coach.model.step_names import StepName


class IntakeWords(PageWords):
    """The form for a new client."""

    file = "intake.toml"

    title: Line
    how: Line
    none_yet: Line
    first: Line
    save: Line
    save_yes: Line
    save_no: Line
    leave: Line
    leave_yes: Line
    leave_no: Line
    saved: Line
    not_saved: Line
    keys: dict[Name, Line]
    exercises: Line
    heading: dict[Literal["client", "home", "band", "plan", "measured", "history", "lengths"], Line]
    field: dict[StepName, Line] = Field(description="what a field is called, by its key")
    hint: dict[StepName, Line] = Field(description="how a field is written, where that is not plain")

"""en/decision_table.toml: what each kind of session would lead to, for the therapist."""

from typing import Annotated

from pydantic import Field

from coach.model.base import Line, Name
from coach.model.messages.base_messages import PageWords
from coach.model.record import Status


class DecisionTableWords(PageWords):
    """What each kind of session would lead to, for the therapist."""

    file = "decision_table.toml"

    title: Line
    how: Line
    columns: Annotated[tuple[Line, ...], Field(min_length=6, max_length=6)]
    kind: dict[Name, Line]
    status: dict[Status, Line]

"""en/history.toml: records and decisions as text."""

from typing import Literal

from pydantic import Field

from coach.model.base import Line, Name
from coach.model.messages.base_messages import PageWords


class HistoryWords(PageWords):
    """Records and decisions as text."""

    file = "history.toml"

    title: Line
    none: Line
    no_sets: Line
    session: Line
    decided: Line
    today: Line
    open: Line
    tell: Line
    rated: Line
    trouble: Line
    number: dict[Name, Line] = Field(description="a number on which a decision rests, by its name in rules.toml")
    change: dict[Name, Line] = Field(description="what would have changed the decision, by its name")
    leads: dict[Literal["load", "repetitions", "review", "complete", "hold"], Line]
    difference: Line
    not_said: Line
    agreement: dict[Literal["missing", "agrees", "behind", "differs"], Line]
    rebuilt: Line
    kept: Line

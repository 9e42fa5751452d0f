"""en/caseload.toml: all clients of a folder, one line each."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import Line, Name
from coach.model.caseload_order import CaseOrder
from coach.model.exercise import Direction
from coach.model.messages.base_messages import PageWords


class CaseloadWords(PageWords):
    """All clients of a folder, one line each."""

    file = "caseload.toml"

    title: Line
    as_of: Line
    filtered: Line
    reading: Line
    columns: Annotated[tuple[Line, ...], Field(min_length=7, max_length=7)]
    legend: Line
    nothing: Line
    today: Line
    days: Line
    share: Line
    more: Line
    no_match: Line
    type_to_filter: Line
    typed: Line
    sorted_by: Line
    direction: dict[Direction, Line]
    need: dict[Name, Line]
    order: dict[CaseOrder, Line]
    keys: dict[Literal["open", "sort", "clear", "leave", "again", "choose"], Line]

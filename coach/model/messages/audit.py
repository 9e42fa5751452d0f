"""The section of LANGUAGE/therapist.toml on figures across clients."""

from typing import Annotated, Literal

from coach.frozen import Bounds, Field
from coach.model.base import Complete, Frozen, Line
from coach.model.messages.letter import ResultKind

CourseFigure = Literal["sessions", "weeks", "days", "kept", "repetitions", "at_tempo"]
CountFigure = Literal[
    "clients", "came", "never_came", "unreadable", "status", "discharged", "stopped", "left", "skipped"
]


class AuditMessages(Frozen):
    """Figures across all clients of a folder."""

    title: Line
    how: Line
    none: Line
    hidden: Line
    group_all: Line
    group_position: Line
    group_condition: Line
    no_condition: Line
    course_columns: Annotated[tuple[Line, ...], Bounds(min_length=4, max_length=4)]
    change_columns: Annotated[tuple[Line, ...], Bounds(min_length=9, max_length=9)]
    count_columns: Annotated[tuple[Line, ...], Bounds(min_length=2, max_length=2)]
    unreadable: Line
    held: Line = Field(description="in place of the status of who may not start a session now")
    weeks_title: Line
    written: Line
    course: Complete[CourseFigure, Line]
    change: Complete[ResultKind, Line]
    count: Complete[CountFigure, Line]

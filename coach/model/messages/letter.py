"""letter.toml: a letter to the referrer and a page of results for the client; a clinic may say them otherwise."""

from typing import Annotated, Literal

from coach.frozen import Bounds, Field
from coach.model.base import Complete, Frozen, Line
from coach.model.option_names import Direction

ResultKind = Literal["range", "strength", "load", "pain", "activities"]
ResultUnit = Literal["degrees", "cm", "Nm", "N", "of 10"]
FewLines = Annotated[tuple[Line, ...], Bounds(max_length=5)]


class LetterPage(Frozen):
    """The lines of one page, from the top."""

    title: Line = Field(description="what the page is")
    opening: FewLines = Field(description="of whom it tells, and from when to when")
    measured_title: Line = Field(description="above the table")
    columns: Annotated[tuple[Line, ...], Bounds(min_length=5, max_length=5)] = Field(
        description="the heads of the table: what, first, latest, change, how the change compares with the error"
    )
    beyond: Line = Field(description="of a change as large as the error or larger")
    within: Line = Field(description="of a smaller change")
    once: Line = Field(description="of what was measured once")
    no_error: Line = Field(description="of a change whose error of measurement is not known")
    nothing: Line = Field(description="in place of the table where nothing was measured")
    trained_title: Line = Field(description="above what was trained")
    kept: Line = Field(description="days trained, of those due")
    witnessed: Line = Field(description="on how many of the days a sensor measured a set")
    trained: Line = Field(description="one exercise")
    tempo: Line = Field(description="repetitions at tempo, where a sensor measured them")
    closing: FewLines = Field(description="what the page does not say; whom to ask")
    signature: FewLines = Field(description="who signs")


class LetterMessages(Frozen):
    """The letter to the referrer and the page for the client."""

    format: Literal[1]
    referrer: LetterPage
    client: LetterPage
    what: Complete[ResultKind, Line] = Field(description="what was measured, in the first column")
    motion: Complete[Direction, Line] = Field(description="the motion that was measured")
    unit: Complete[ResultUnit, Line] = Field(description="a value with its unit")
    on: Line = Field(description="a value and its day")
    nothing: Line = Field(description="where a cell has no value")
    written: Line = Field(description="printed when the page is written")

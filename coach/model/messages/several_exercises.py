"""The messages of a session of several exercises, and of the way to them from the format before."""

from pydantic import Field

from coach.model.base import Frozen, Line
from coach.model.messages.layout_limits import Title


class SeveralExercisesMessages(Frozen):
    """What is said where a session has more than one exercise."""

    pending: Line = Field(description="that something signed does not count yet")
    part: Title = Field(description="above the first page of an exercise")
    exercise: Line = Field(description="an exercise and its side in a few words")
    done_title: Title = Field(description="above the page after an exercise that another one follows")
    stopped_title: Title = Field(description="above the page after an exercise that was stopped")
    go_on: Line = Field(description="after one that was stopped: the others may be done, or left out")
    next: Line = Field(description="after one exercise, what the next one is")
    rest: Line = Field(description="in the rest before an exercise")
    not_today: Line = Field(description="that an exercise is not done today, and why")
    left_out: Line = Field(description="an exercise that the client left out")
    summary_title: Title = Field(description="above the list of all exercises at the end")
    summary: Line = Field(description="what follows from one exercise")


class UpgradeMessages(Frozen):
    """What the command says that moves clients to the format of programmes."""

    is_new: Line
    would_write: Line
    written: Line
    how_to_write: Line

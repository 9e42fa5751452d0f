"""The messages of a session of several exercises, and of the way to them from the format before."""

from typing import Literal

from coach.frozen import Field
from coach.model.base import Complete, Frozen, Line
from coach.model.messages.layout_limits import Title

Standing = Literal["done", "stopped", "not_done", "next", "then"]
SetupChange = Literal[
    "band_same", "band_other", "anchor_same", "anchor_other", "mark_same", "mark_other", "underfoot", "side_other"
]


class SeveralExercisesMessages(Frozen):
    """What is said where a session has more than one exercise."""

    pending: Line = Field(description="that something signed does not count yet")
    part: Title = Field(description="above the first page of an exercise")
    exercise: Line = Field(description="an exercise and its side in a few words")
    new_cautions: Line = Field(description="above the cautions that an exercise adds to those of the first one")
    done_title: Title = Field(description="above the page after an exercise that another one follows")
    not_done_title: Title = Field(description="the same after an exercise of which no set was done")
    stopped_title: Title = Field(description="above the page after an exercise that was stopped")
    leave_title: Title = Field(description="above the question whether to end one exercise early")
    leave: Line = Field(description="what follows if it is ended: the next one, or the end for today")
    ends: Line = Field(description="what follows from an answer that ends this exercise alone")
    go_on: Line = Field(description="after one that was stopped: the others may be done, or left out")
    stopped_pain: Line = Field(description="first on the page after one that was stopped for pain")
    did: Line = Field(description="what was done of one exercise")
    next: Line = Field(description="after one exercise, what the next one is")
    change: Complete[SetupChange, Line] = Field(description="what stays and what changes in the setup for it")
    left: Line = Field(description="how many exercises are left, and how long they take")
    standing: Complete[Standing, Line] = Field(description="where each exercise stands")
    minutes: Line = Field(description="on the first page, below the minutes of all exercises, drawn large")
    today: Line = Field(description="on the first page: all exercises of the session")
    lasts: Line = Field(description="on the first page: how long this exercise takes, and all of them")
    lasts_spoken: Line = Field(description="the same where the pages are also said")
    in_turn: Line = Field(description="on the first page: two exercises that are done in turn, set by set")
    turn_title: Title = Field(description="above the setup of the exercise whose turn it is")
    turn: Line = Field(description="the exercise whose turn it is")
    rest_title: Title = Field(description="above the rest before an exercise")
    rest: Line = Field(description="in the rest before an exercise")
    not_today: Line = Field(description="that an exercise is not done today, and why")
    left_out: Line = Field(description="an exercise that the client left out")
    summary_title: Title = Field(description="above the list of all exercises at the end")
    summary: Line = Field(description="what follows from one exercise")
    handout_title: Title = Field(description="above the list of all exercises on the printed page")
    handout_days: Line = Field(description="on which days an exercise is due, and its rest")
    handout_log: Line = Field(description="above the log of all exercises")


class ProgrammeReportMessages(Frozen):
    """What the therapist reads where a report speaks of several exercises."""

    named: Line = Field(description="which exercise it is, and its name in the programme")
    not_due: Line = Field(description="that an exercise is not due today, and on which days it is")
    forecast: Line = Field(description="what a forecast of each exercise by itself leaves out")


class UpgradeMessages(Frozen):
    """What the command says that moves clients to the format of programmes."""

    is_new: Line
    would_write: Line
    written: Line
    how_to_write: Line

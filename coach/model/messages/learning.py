"""What the client reads about learning and keeping on: lessons, tempo, practice, the own plan and progress."""

from typing import Annotated

from coach.frozen import Bounds, Field
from coach.model.base import Complete, Frozen, Line
from coach.model.content_entries import WrongForm
from coach.model.messages.layout_limits import OneRow, PartWords, Title, TitleMark
from coach.model.option_names import TellBy


class LessonMessages(Frozen):
    """What is shown before it is asked about, and what will be asked after a set."""

    title: Title
    again_title: Title
    right: OneRow = Field(description="above the drawing of the right form: from where it is seen")
    wrong: OneRow
    wrong_beside: OneRow = Field(description="where the right arm is drawn with dashes beside the wrong one")
    kept: Complete[WrongForm, PartWords] = Field(description="beside the part in the drawing of the right form")
    moved: Complete[WrongForm, PartWords] = Field(description="beside the part in the drawing of the fault")
    not_tried: Line
    asked_after: Line
    by: Complete[TellBy, OneRow] = Field(description="what stands before a line on how to tell")
    tell_by: Line = Field(
        description="with the first lesson, on one line: the numbers that choose how the client will tell"
    )
    tell_by_key: Line = Field(description="said before the first set where it was not chosen: the key that chooses")


class OwnTempoMessages(Frozen):
    """The repetitions at the client's own tempo, before, while they are timed, and compared."""

    title: Title
    before: Line
    running: Line
    right: Line
    too_fast: Line
    too_slow: Line


class PracticeMessages(Frozen):
    """The movement without the band."""

    mark: TitleMark
    title: Title
    before: Line
    offer: Line
    done: Line
    stopped: Line
    stopped_first: Line = Field(description="what the page says first where the decision is a review")
    saved: Line


class TrainingPlanMessages(Frozen):
    """The client's own plan: its questions, its sentences at the end of a session, and the calendar entry."""

    title: Line
    title_again: Line = Field(description="the same where there is a plan, which an empty line keeps")
    ask_new: Line = Field(description="at the end of a session where there is no plan yet")
    ask_old: Line = Field(description="the same where it was said long ago")
    kept: Line
    days: Line
    no_day: Line
    at: Line
    no_time: Line
    when: Line
    where: Line
    if_not: Line
    when_line: Line
    where_line: Line
    if_not_line: Line
    exercises_of_day: Line = Field(description="which exercises an entry of the calendar has, by their numbers")
    saved: Line
    not_saved: Line
    event: Line
    written: Line


class ProgressMessages(Frozen):
    """The client's own view of their progress."""

    title: Line
    nothing: Line
    sessions: Line
    earlier: Line
    line: Line
    now_title: Line
    not_yet: Line
    activities: Line
    load: Line
    less_load: Line
    repetitions: Line
    at_this_load: Line = Field(description="the same where the load is another: it stands after the load")
    in_a_session: Line = Field(description="repetitions of all sets, where a set has as many as at first")
    other_position: Line = Field(description="in place of load and repetitions, which do not compare then")


class EndMessages(Frozen):
    """The last screen."""

    did: Line
    did_nothing: Line
    for_what: Line
    title: Title
    stopped_title: Title
    left_title: Title
    done: Line
    set_line: Line = Field(description="a set of a session of which another was skipped")
    sets_line: Line = Field(description="all sets on one line, where none was skipped")
    next_is: Line = Field(description="below what is drawn large because it changes: the band, the mark, repetitions")
    as_today: Line = Field(description="the same of what does not change")
    in_each_set: Line
    sessions: Line
    session: Line = Field(description="one of the last sessions")
    decided: Line
    rule: Line
    saved: Line
    next_time: Line
    weekday: Annotated[tuple[Line, ...], Bounds(min_length=7, max_length=7)]
    what_to_do: Line
    call_now: Line = Field(description="first on the page after severe pain, or after a further stop for pain")

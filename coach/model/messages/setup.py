"""What is said of the setup, and what each page asks of the client now: one line, with its key where there is one."""

from typing import Literal

from coach.frozen import Field
from coach.model.base import Complete, Frozen, Line
from coach.model.messages.layout_limits import OneRow, Title

NowName = Literal[
    "read",
    "warm_up",
    "steps",
    "compare",
    "get_ready",
    "compare_and_tell",
    "find_line",
    "change",
    "begin",
    "timed",
    "timing",
    "take_place",
    "answer",
    "paused",
    "rest",
    "change_and_rest",
    "next_exercise",
    "keep_plan",
    "close",
]


ChangeName = Literal[
    "band",
    "band_strands",
    "strands",
    "mark",
    "both",
    "band_underfoot",
    "band_strands_underfoot",
    "strands_underfoot",
    "mark_underfoot",
    "both_underfoot",
]


class LimitMessages(Frozen):
    """Where the range is capped: that the movement ends sooner than it goes easily, and where."""

    angle: Line = Field(description="where the limit is, so that a person can see it; said before the movement")
    path: Line = Field(description="the same where the hand moves along a line")
    line: Line = Field(description="after the words on how far the hand goes easily: the limit goes before them")


class SetupMessages(Frozen):
    """The setup screen and the new setup after a step down."""

    title: Title
    place_title: Title
    arm_title: Title
    again_title: Title
    change: Complete[ChangeName, Line] = Field(
        description="what to change for a new load, and what stays; both: band or strands, and mark"
    )
    changed_title: Title
    changed: Line
    changed_here: Line = Field(description="the same in a later exercise, whose first page has the lower load")
    no_turn: Line
    seen: Complete[Literal["from_above", "from_behind", "from_the_side"], OneRow] = Field(
        description="from where a drawing shows the client"
    )
    drawing_title: OneRow = Field(description="above a drawing of the setup")
    next_checks: Line = Field(description="the last step of a page: the checks to be made there, answered afterwards")
    next_checks_mark: Line
    next_checks_underfoot: Line = Field(description="the same where the client stands on the band")
    check_title: Title
    check_again_title: Title = Field(description="before a later set for which another band is taken up")
    warm_up_title: Title
    reach_title: Title
    reach_more: Line = Field(description="above what may be read before the first set")
    limit: LimitMessages
    how_to_tell_title: Line
    side: Complete[Literal["left", "right"], Line]

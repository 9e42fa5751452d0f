"""What only the voice says."""

from typing import Literal

from coach.frozen import Field
from coach.model.base import Complete, Frozen, Line


class VoiceMessages(Frozen):
    """What only the voice says, and what is shown about it. Units after a number are said as words."""

    hurts: Line = Field(description="said before every set: what to do if it hurts, far from the keyboard")
    hurts_underfoot: Line = Field(description="the same where the client stands on the band")
    scale: Line
    scale_again: Line = Field(description="the same scale, where its ends were said before in this session")
    answered: Line = Field(description="an answer read back")
    change: Line = Field(description="said after it: the key that changes it")
    group: Line = Field(description="said before a group of warning signs, which are too many to hear at once")
    group_next: Line
    group_last: Line
    group_none: Line
    enter: Line
    question_mark: Line
    go_on: Line = Field(description="said at the beginning of the first page: no page has to be heard to its end")
    keys: Line = Field(description="said at the end of the first page")
    more_cautions: Line = Field(description="said after the cautions, where those of the first session are left out")
    anchor_is: Line = Field(description="said in place of the drawing from above: where the anchor is then")
    hand_moves: Line = Field(description="said in place of the drawing from the side: how far the hand moves")
    units: Complete[Literal["cm", "s"], Line]
    on: Line
    off: Line
    recorded: Line
    none: Complete[Literal["silent", "remote", "no_program", "no_player", "failed", "no_language"], Line]
    not_kept: Line

"""What a page asks of the client now: one line, with its key where there is one."""

from typing import Literal

NowName = Literal[
    "read",
    "warm_up",
    "steps",
    "compare",
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
    "next_exercise",
    "keep_plan",
    "close",
]

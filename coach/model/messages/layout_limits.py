"""The longest messages that fit on the smallest screen of a session, in characters."""

from typing import Annotated

from coach.frozen import Bounds

LEAST_COLUMNS, LEAST_ROWS = 60, 20
EDGE_COLUMNS = 4  # margins, both sides together
ROW_COLUMNS = LEAST_COLUMNS - EDGE_COLUMNS

OneRow = Annotated[str, Bounds(min_length=1, max_length=ROW_COLUMNS)]
# What is to be done now: beside a mark of three columns, and its key has edges of one column each.
NowRow = Annotated[str, Bounds(min_length=1, max_length=ROW_COLUMNS - 5)]
# Leaves room for what a rehearsal puts before the title.
Title = Annotated[str, Bounds(min_length=1, max_length=45)]
TitleMark = Annotated[str, Bounds(min_length=1, max_length=ROW_COLUMNS - 45 + len("{title}"))]
# Half of the least window, with a blank column on either side.
PartWords = Annotated[str, Bounds(min_length=1, max_length=18)]
# Large letters are five dots wide and one apart: at one column a dot, a count of two digits fits next to the word.
PhaseWord = Annotated[str, Bounds(min_length=1, max_length=7)]
LargeWord = Annotated[str, Bounds(min_length=1, max_length=9)]
# Five keys in two rows, three of them in the second; the key for pain is in the first, where there is more room.
KeyWord = Annotated[str, Bounds(min_length=1, max_length=14)]
PainKeyWord = Annotated[str, Bounds(min_length=1, max_length=16)]

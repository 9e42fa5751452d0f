"""By which computer something was written, and what that computer had seen by then.

The order of sessions and instructions follows from this and never from a clock: clocks of two computers differ, and a
session at home is not known in the clinic before it arrives there. One number for each writer, not one for all: who
has seen a later session of one computer may not have seen an earlier one of another.
"""

from typing import Annotated

from coach.frozen import Bounds, Field, form
from coach.model.base import Frozen

WriterName = Annotated[str, form(r"^[a-z0-9]{8}$")]
Number = Annotated[int, Bounds(ge=1)]


class Written(Frozen):
    """Who wrote something, which thing of theirs it is, and the newest thing of each writer that they had seen."""

    writer: WriterName = Field(description="the computer, by a name drawn at random when it first wrote something")
    number: Number = Field(description="the first thing that it wrote of this client is 1, the next 2")
    seen: dict[WriterName, Number] = Field(
        default={}, description="for every other computer, the number of its newest thing that was there by then"
    )

    def knew(self, other: "Written") -> bool:
        """Whether the other thing was known when this was written, directly."""
        if other.writer == self.writer:
            return other.number < self.number
        return other.number <= self.seen.get(other.writer, 0)

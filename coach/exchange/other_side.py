"""What one side keeps of the other: its keys, what was sent and taken, and what the other side has."""

from pydantic import Field

from coach.exchange.public_keys import Digest, PublicKeys
from coach.model.base import Frozen


class Numbered(Frozen):
    """A sealed file by its number and a digest of what it says."""

    number: int = Field(ge=1)
    digest: Digest


class OtherSide(PublicKeys):
    """The other side of an exchange."""

    sent: Numbered | None = Field(default=None, description="the newest that was written for it")
    taken: tuple[Numbered, ...] = Field(default=(), description="what was taken from it, in order of the numbers")
    has: tuple[Digest, ...] = Field(default=(), description="the files that it has, as its newest said")
    knows: int = Field(default=0, description="the newest of ours that it had taken by then")

    @property
    def newest(self) -> int:
        """The number of the newest that was taken from it; 0 where nothing was."""
        return max((one.number for one in self.taken), default=0)

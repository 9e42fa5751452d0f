"""What one side keeps of the other: its keys, what was sent and taken, and what the other side has."""

from typing import Annotated, Self

from coach.exchange.parcel import Parcel
from coach.exchange.public_keys import Digest, PublicKeys
from coach.frozen import Bounds, Field
from coach.model.base import Frozen

_MOST_KEPT = 1000  # parcels; one that is older and comes again is taken again, and brings nothing


class Numbered(Frozen):
    """A parcel by its number and a digest of what it says."""

    number: Annotated[int, Bounds(ge=1)]
    digest: Digest


class OtherSide(PublicKeys):
    """The other side of an exchange."""

    sent: Annotated[int, Bounds(ge=0)] = Field(
        default=0, description="the number of the newest parcel that was written for it"
    )
    sent_digest: Digest | None = None
    taken: tuple[Numbered, ...] = Field(default=(), description="the parcels that were taken from it")
    has: tuple[Digest, ...] = Field(default=(), description="the files that it has, as its newest parcel said")
    answered: Annotated[int, Bounds(ge=0)] = Field(
        default=0, description="the newest of its parcels that it was told of"
    )

    @property
    def newest(self) -> int:
        """The number of the newest parcel that was taken from it; 0 where none was."""
        return max((one.number for one in self.taken), default=0)

    def has_taken(self, digest: Digest) -> bool:
        """Whether a parcel was taken before."""
        return any(one.digest == digest for one in self.taken)

    def with_parcel(self, parcel: Parcel, digest: Digest) -> Self:
        """The same after a parcel of the other side was taken."""
        new = Numbered(number=parcel.number, digest=digest)
        update: dict[str, object] = {"taken": (*self.taken, new)[-_MOST_KEPT:]}
        if parcel.number > self.newest:
            update["has"] = parcel.has
        if parcel.knows > self.sent:  # this side was restored from a backup
            update |= {"sent": parcel.knows, "sent_digest": None}
        return self.model_copy(update=update)

    def with_sent(self, number: int, digest: Digest) -> Self:
        """The same after a parcel was written for it."""
        return self.model_copy(update={"sent": number, "sent_digest": digest, "answered": self.newest})

    def oddities(self, parcel: Parcel, digest: Digest) -> tuple[str, ...]:
        """What is odd about the number of a parcel; none of it keeps it from being taken."""
        found = []
        if parcel.knows > self.sent:
            found.append(
                f"it answers number {parcel.knows}, and the newest that is known here is {self.sent}: this side was "
                "restored from a backup"
            )
        same = [one for one in self.taken if one.number == parcel.number and one.digest != digest]
        if same:
            found.append(
                f"another one with the number {parcel.number} was taken before: the other side was restored from a "
                "backup, or its keys are on two computers"
            )
        former = [one for one in self.taken if one.number == parcel.number - 1]
        if not same and former and parcel.before not in (None, *(one.digest for one in former)):
            found.append("the one before it is another than was taken here: the other side has gone back to a backup")
        elif parcel.number > self.newest + 1 and parcel.number > 1:
            missing = ", ".join(str(one) for one in range(self.newest + 1, parcel.number)[:10])
            found.append(f"not come yet: number {missing}; what this side does not get, it is sent again")
        return tuple(found)

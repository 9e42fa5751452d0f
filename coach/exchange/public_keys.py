"""The public keys of a clinic or of a computer at home, and the digits by which people compare them."""

from hashlib import sha256
from typing import Annotated

from coach.frozen import AwareDatetime, Field, form
from coach.model.base import Frozen, Initials, Line

KeyText = Annotated[str, form(r"^[0-9a-f]{64}$")]
SignatureText = Annotated[str, form(r"^[0-9a-f]{128}$")]
ClientId = Annotated[str, form(r"^[0-9a-f]{32}$")]
Digest = Annotated[str, form(r"^[0-9a-f]{32}$")]
_DIGITS, _GROUP = 30, 5
_KEY_ID = 16  # digits from 0 to f


class PublicKeys(Frozen):
    """What the other side may know of a pair of keys."""

    verify: KeyText = Field(description="its signatures are checked with this")
    seal: KeyText = Field(description="files for it are sealed with this")

    @property
    def fingerprint(self) -> str:
        """Thirty digits in groups of five, for two people to compare."""
        number = int.from_bytes(sha256(bytes.fromhex(self.verify + self.seal)).digest(), "big") % 10**_DIGITS
        digits = f"{number:0{_DIGITS}d}"
        return " ".join(digits[at : at + _GROUP] for at in range(0, _DIGITS, _GROUP))

    @property
    def key_id(self) -> str:
        """By what a sealed file names the key that opens it."""
        return sha256(bytes.fromhex(self.seal)).hexdigest()[:_KEY_ID]


class KeyChange(Frozen):
    """A clinic's change to new keys, signed with the ones before, which are no longer good."""

    before: PublicKeys
    after: PublicKeys
    at: AwareDatetime
    initials: Initials
    reason: Line
    signature: SignatureText

    @property
    def statement(self) -> bytes:
        """What is signed."""
        keys = (self.before.verify, self.before.seal, self.after.verify, self.after.seal)
        return "\n".join(("new keys of a clinic", *keys, self.at.isoformat(), self.initials, self.reason)).encode()


def digest_of(*parts: bytes) -> str:
    """A short name for some bytes."""
    digest = sha256()
    for part in parts:
        digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()[:32]

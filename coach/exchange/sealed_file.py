"""The container: signed by the sender, then padded and sealed for the receiver.

    steady-arc sealed 1          the format
    41bd6ef8a04a41f4             the receiver's key id
    ...                          a sealed box for the receiver's public key (X25519, XSalsa20-Poly1305)

Inside, after the padding is taken off: the sender's 32 bytes for checking signatures, then 64 bytes of signature
(Ed25519) and the message that they sign. Without the receiver's key a file tells its size, in steps of the padding,
and for whom it is. Everything is done by the library; `tests/exchange/test_by_hand.py` opens a file with it alone.
"""

import re
import stat
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace
from nacl.bindings import sodium_pad, sodium_unpad
from nacl.exceptions import CryptoError
from nacl.public import PrivateKey, PublicKey, SealedBox
from nacl.signing import SigningKey, VerifyKey

from coach.exchange.own_keys import OwnKeys
from coach.exchange.public_keys import KeyChange, KeyText, PublicKeys
from coach.toml.diagnostic import FileFault, error_reason, whole_file

SUFFIX = ".sealed"
FORMAT = 1
PADDED_TO = 4096  # bytes
MOST_BYTES = 16 * 1024 * 1024  # of a sealed file
_HEAD = re.compile(rb"steady-arc sealed (\d{1,9})\n([0-9a-f]{16})\n")
_HEAD_BYTES = 64
_VERIFY_BYTES = 32
_KIND = "a file that coach send wrote"


class SealedFile(Struct, frozen=True):
    """A sealed file as it was found, with the key id of its receiver."""

    path: Path
    key_id: str
    box: bytes


class Opened(Struct, frozen=True):
    """The message of a sealed file, and the key that signed it."""

    path: Path
    signer: KeyText
    message: bytes


def seal(message: bytes, sender: OwnKeys, receiver: PublicKeys) -> bytes:
    """The bytes of a sealed file."""
    signing = SigningKey(sender.signing)
    signed = bytes(signing.verify_key) + bytes(signing.sign(message))
    box = SealedBox(PublicKey(bytes.fromhex(receiver.seal))).encrypt(sodium_pad(signed, PADDED_TO))
    return f"steady-arc sealed {FORMAT}\n{receiver.key_id}\n".encode() + box


def read_sealed(path: Path) -> SealedFile:
    """A sealed file, not opened yet. Raises FileFault where it is none; of one that is too large nothing is read."""
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):  # a pipe or a device may never answer
            raise _fault(path, "this is not an ordinary file")
        if found.st_size > MOST_BYTES:
            raise _fault(path, f"it is larger than {MOST_BYTES // 2**20} MiB, and no such file is")
        with path.open("rb") as file:
            head = _HEAD.match(file.read(_HEAD_BYTES))
            if head is None:
                raise _fault(path, "this is no sealed file between home and clinic", "look at where it came from")
            if int(head[1]) != FORMAT:
                raise _of_other_format(path, int(head[1]))
            file.seek(head.end())
            return SealedFile(path, head[2].decode(), file.read(MOST_BYTES))
    except FileNotFoundError:
        raise _fault(path, "there is no such file", "check the name") from None
    except OSError as error:
        raise _fault(path, f"it cannot be read: {error_reason(error)}") from None


def open_sealed(sealed: SealedFile, receiver: OwnKeys) -> Opened:
    """What was sealed for these keys, if its signature fits. Raises FileFault where it was torn or altered."""
    try:
        padded = SealedBox(PrivateKey(receiver.opening)).decrypt(sealed.box)
        signed = sodium_unpad(padded, PADDED_TO)
        verify, rest = signed[:_VERIFY_BYTES], signed[_VERIFY_BYTES:]
        return Opened(sealed.path, verify.hex(), VerifyKey(verify).verify(rest))
    except (CryptoError, ValueError, TypeError):
        what = "it is torn, or was altered on its way: what is in it is not what was sealed"
        raise _fault(sealed.path, what) from None


def sign_change(change: KeyChange, before: OwnKeys) -> KeyChange:
    """The change of a clinic's keys, signed with the keys that it had."""
    signature = SigningKey(before.signing).sign(change.statement).signature
    return change.model_copy(update={"signature": signature.hex()})


def is_signed(change: KeyChange) -> bool:
    """Whether a change of keys was signed with the keys before."""
    try:
        VerifyKey(bytes.fromhex(change.before.verify)).verify(change.statement, bytes.fromhex(change.signature))
    except (CryptoError, ValueError, TypeError):
        return False
    return True


def _of_other_format(path: Path, number: int) -> FileFault:
    is_newer = number > FORMAT
    fix = "use the newer one here too" if is_newer else "write it with a newer one"
    writer = "a newer" if is_newer else "an older"
    what = f"it was written by {writer} Steady Arc (format {number}, and this one reads {FORMAT})"
    return FileFault([replace(whole_file(path, what, _KIND, fix), newer=is_newer)])


def _fault(path: Path, what: str, fix: str = "ask for the file to be sent again") -> FileFault:
    return FileFault([whole_file(path, what, _KIND, fix)])

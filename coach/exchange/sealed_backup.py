"""A backup sealed with a passphrase, written and read in parts, so that memory does not depend on its size.

The format is in DEVELOPERS.md. The key comes from the passphrase and a random salt (Argon2id), so each file has its
own. Each part is a box of its own whose nonce is its number and whether it is the last (the construction STREAM;
Hoang VT et al., Online authenticated-encryption and its nonce-reuse misuse-resistance, CRYPTO 2015): parts cannot be
changed, exchanged, left out or added, and each can be opened without those before it.
"""

import io
import os
import struct
import unicodedata
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct
from nacl.exceptions import CryptoError
from nacl.pwhash import argon2id
from nacl.secret import SecretBox

from coach.store.backups.restore import reporting, unsealed_opener
from coach.store.backups.zip_reader import Spoilt
from coach.toml.diagnostic import FileFault, whole_file

MAGIC = b"steady-arc backup 1\n"
SHORTEST = 12  # characters of a passphrase; ours: whoever has the file can try as many as they like
_MAGIC_OF_ALL = b"steady-arc backup "
_LIMITS = struct.Struct("<2Q")  # of Argon2id: operations, bytes of memory
_HEAD = len(MAGIC) + argon2id.SALTBYTES + _LIMITS.size
_PART = 64 * 1024  # bytes of what is sealed in one part
_BOX = _PART + SecretBox.MACBYTES
_LAST = 1


class Sealed(Spoilt):
    """A sealed file that cannot be opened; its text says why, without a full stop."""


class Cost(Struct, frozen=True):
    """What making a key from a passphrase costs, also whoever tries to guess it. The names are those of libsodium."""

    operations: int = argon2id.OPSLIMIT_MODERATE
    memory: int = argon2id.MEMLIMIT_MODERATE

    @property
    def is_bearable(self) -> bool:
        """Whether a file may ask it of this computer: up to what the library calls sensitive."""
        operations = argon2id.OPSLIMIT_MIN <= self.operations <= argon2id.OPSLIMIT_SENSITIVE
        return operations and argon2id.MEMLIMIT_MIN <= self.memory <= argon2id.MEMLIMIT_SENSITIVE


USUAL_COST = Cost()


def unsealed(path: Path, ask: Callable[[], str]) -> Callable[[], BinaryIO]:
    """How to open a backup; `ask` gives the passphrase of a sealed one. Raises FileFault."""
    with reporting(path):
        try:
            return opener(path, ask()) if is_sealed(path) else unsealed_opener(path)
        except Sealed as sealed:
            fix = "type the passphrase again, or take another backup"
            raise FileFault([whole_file(path, str(sealed), "", fix)]) from None


def is_sealed(path: Path) -> bool:
    """Whether a file says that it is a sealed backup, of any format. Raises OSError."""
    with path.open("rb") as file:
        return file.read(len(_MAGIC_OF_ALL)) == _MAGIC_OF_ALL


class SealingFile:
    """Seals what is written to it into `out`. Only what was written before `finish` can be opened, and only whole."""

    def __init__(self, out: BinaryIO, passphrase: str, cost: Cost | None = None) -> None:
        salt, cost = os.urandom(argon2id.SALTBYTES), cost or USUAL_COST
        self._box = _box_of(passphrase, salt, cost)
        self._out, self._waiting, self._number, self._written = out, bytearray(), 0, 0
        out.write(MAGIC + salt + _LIMITS.pack(cost.operations, cost.memory))

    def write(self, data: bytes, /) -> int:
        """Add bytes; the last part of them is kept until `finish`."""
        self._waiting += data
        self._written += len(data)
        while len(self._waiting) > _PART:
            self._seal(_PART, last=False)
        return len(data)

    def tell(self) -> int:
        """How many bytes were written to it."""
        return self._written

    def finish(self) -> None:
        """Write the last part, without which nothing can be opened."""
        self._seal(len(self._waiting), last=True)

    def _seal(self, size: int, last: bool) -> None:
        part = bytes(self._waiting[:size])
        del self._waiting[:size]
        self._out.write(self._box.encrypt(part, _nonce(self._number, last)).ciphertext)
        self._number += 1


class _OpenedFile(io.RawIOBase):
    """What is sealed in a file, to be read at any place. Reading raises Sealed where the file was altered."""

    def __init__(self, file: BinaryIO, box: SecretBox) -> None:
        super().__init__()
        self._file, self._box, self._position = file, box, 0
        boxes = file.seek(0, os.SEEK_END) - _HEAD
        self._count = max(-(-boxes // _BOX), 1)
        self._size = max(boxes - self._count * SecretBox.MACBYTES, 0)
        self._kept: tuple[int, bytes] | None = None

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, offset: int, whence: int = os.SEEK_SET, /) -> int:
        start = {os.SEEK_SET: 0, os.SEEK_CUR: self._position, os.SEEK_END: self._size}[whence]
        self._position = max(start + offset, 0)
        return self._position

    def readinto(self, buffer: object, /) -> int:
        into = memoryview(buffer)  # type: ignore[arg-type]  # the interpreter hands over a buffer
        number, start = divmod(self._position, _PART)
        found = self.part(number)[start : start + len(into)] if number < self._count else b""
        into[: len(found)] = found
        self._position += len(found)
        return len(found)

    def check(self) -> None:
        """Raise Sealed where the passphrase is another, or the end is missing."""
        self.part(0)
        self.part(self._count - 1)

    def part(self, number: int) -> bytes:
        """One part, opened."""
        if self._kept is None or self._kept[0] != number:
            self._file.seek(_HEAD + number * _BOX)
            sealed = self._file.read(_BOX)
            try:
                opened = self._box.decrypt(sealed, _nonce(number, number == self._count - 1))
            except (CryptoError, ValueError):
                raise Sealed(self._why(number)) from None
            self._kept = number, opened
        return self._kept[1]

    def _why(self, number: int) -> str:
        if number == 0:
            return "it does not open with this passphrase, or it was altered"
        return "it was altered, or its end is missing"

    def close(self) -> None:
        self._file.close()
        super().close()


def opener(path: Path, passphrase: str) -> Callable[[], BinaryIO]:
    """A function that opens what is sealed in a file, as often as wanted. Raises Sealed, and OSError."""
    with path.open("rb") as file:
        head = file.read(_HEAD)
    if not head.startswith(MAGIC):
        raise Sealed("it was sealed by a newer Steady Arc")
    if len(head) < _HEAD:
        raise Sealed("its end is missing")
    salt = head[len(MAGIC) : -_LIMITS.size]
    cost = Cost(*_LIMITS.unpack(head[-_LIMITS.size :]))
    if not cost.is_bearable:
        raise Sealed("it was altered")
    box = _box_of(passphrase, salt, cost)

    def opened() -> BinaryIO:
        return io.BufferedReader(_OpenedFile(path.open("rb"), box), _PART)

    with path.open("rb") as file:
        _OpenedFile(file, box).check()
    return opened


def _box_of(passphrase: str, salt: bytes, cost: Cost) -> SecretBox:
    """Letters that can be written in two ways count as one (RFC 8265, OpaqueString)."""
    plain = unicodedata.normalize("NFC", passphrase).encode()
    try:
        return SecretBox(argon2id.kdf(SecretBox.KEY_SIZE, plain, salt, cost.operations, cost.memory))
    except CryptoError:  # the library could not get the memory
        raise Sealed(f"there is too little memory for it here: it takes {cost.memory // 2**20} MiB") from None


def _nonce(number: int, last: bool) -> bytes:
    size = SecretBox.NONCE_SIZE - 1
    return number.to_bytes(size, "little") + bytes([_LAST if last else 0])

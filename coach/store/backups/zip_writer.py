"""Writing a ZIP file one file at a time; its directory is kept in a temporary file until the end."""

import stat
import tempfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import IO, Protocol

from coach.store.backups.zip_format import (
    CENTRAL,
    CENTRAL_SIGN,
    DATE,
    DEFLATED,
    END,
    END_64,
    END_64_SIGN,
    END_SIGN,
    EXTRA_64,
    FULL_16,
    FULL_32,
    IN_UTF_8,
    LOCAL,
    LOCAL_SIGN,
    LOCATOR_64,
    LOCATOR_64_SIGN,
    MOST_TIMES,
    PLAIN_VERSION,
    STORED,
    UNIX,
    VERSION_64,
    Entry,
)

_IN_MEMORY = 4 * 1024 * 1024
_CHUNK = 1024 * 1024
_LEAST_PACKED = 64  # bytes: what is shorter does not shrink
_MODE = stat.S_IFREG | 0o600


class Output(Protocol):
    """What a ZIP file is written to, from its beginning to its end without going back."""

    def write(self, data: bytes, /) -> int:
        """Add bytes; returns how many."""

    def tell(self) -> int:
        """The place of the next byte."""


class ZipWriter:
    """A ZIP file that is being written to `out`; large temporary files are made in `scratch`."""

    def __init__(self, out: Output, scratch: Path | None = None) -> None:
        self._out = out
        self._directory: IO[bytes] = temporary(scratch)
        self._count = 0

    def __enter__(self) -> "ZipWriter":
        return self

    def __exit__(self, _: type[BaseException] | None, __: BaseException | None, ___: TracebackType | None) -> None:
        self._directory.close()

    def add(self, name: str, data: bytes) -> None:
        """Add a file."""
        packed = _packed(data) if len(data) >= _LEAST_PACKED else data
        shrinks = len(packed) < len(data) <= MOST_TIMES * len(packed)
        method, written = (DEFLATED, packed) if shrinks else (STORED, data)
        entry = Entry(name, method, zlib.crc32(data), len(written), len(data), self._out.tell(), _MODE)
        self._out.write(_local(entry))
        self._out.write(written)
        self._directory.write(_central(entry))
        self._count += 1

    def finish(self, name: str, data: IO[bytes]) -> None:
        """Add a last file of any size, which comes first in the directory, and end the ZIP file with it."""
        entry = self._add_long(name, data)
        start = self._out.tell()
        self._out.write(_central(entry))
        for chunk in _chunks(self._directory):
            self._out.write(chunk)
        self._out.write(_end(self._count + 1, start, self._out.tell() - start))

    def _add_long(self, name: str, data: IO[bytes]) -> Entry:
        """Its sizes stand before it, so it is packed twice: once to know them."""
        crc, size, packed = 0, 0, 0
        for chunk in _chunks(data):
            crc, size = zlib.crc32(chunk, crc), size + len(chunk)
        for part in _packed_chunks(data):
            packed += len(part)
        entry = Entry(name, DEFLATED, crc, packed, size, self._out.tell(), _MODE)
        self._out.write(_local(entry))
        for part in _packed_chunks(data):
            self._out.write(part)
        return entry


def _packed_chunks(data: IO[bytes]) -> Iterator[bytes]:
    packer = zlib.compressobj(wbits=-zlib.MAX_WBITS)
    for chunk in _chunks(data):
        yield packer.compress(chunk)
    yield packer.flush()


def _packed(data: bytes) -> bytes:
    packer = zlib.compressobj(wbits=-zlib.MAX_WBITS)
    return packer.compress(data) + packer.flush()


def temporary(scratch: Path | None) -> IO[bytes]:
    """A temporary file; one without a name in the folder `scratch` as soon as it is large."""
    return tempfile.SpooledTemporaryFile(_IN_MEMORY, dir=None if scratch is None else str(scratch))


def _chunks(data: IO[bytes]) -> Iterator[bytes]:
    data.seek(0)
    while chunk := data.read(_CHUNK):
        yield chunk


def _local(entry: Entry) -> bytes:
    name = entry.name.encode()
    numbers = (PLAIN_VERSION, IN_UTF_8, entry.method, 0, DATE, entry.crc, entry.packed, entry.size, len(name), 0)
    return LOCAL.pack(LOCAL_SIGN, *numbers) + name


def _central(entry: Entry) -> bytes:
    name, far = entry.name.encode(), entry.offset >= FULL_32
    extra = EXTRA_64.to_bytes(2, "little") + (8).to_bytes(2, "little") + entry.offset.to_bytes(8, "little")
    extra = extra if far else b""
    version = VERSION_64 if far else PLAIN_VERSION
    kinds = (UNIX << 8 | version, version, IN_UTF_8, entry.method, 0, DATE)
    sizes = (entry.crc, entry.packed, entry.size, len(name), len(extra))
    rest = (0, 0, 0, entry.attributes << 16, FULL_32 if far else entry.offset)
    return CENTRAL.pack(CENTRAL_SIGN, *kinds, *sizes, *rest) + name + extra


def _end(count: int, start: int, size: int) -> bytes:
    """The end of the file, in the larger form as well where a number needs it."""
    short = (min(count, FULL_16), min(count, FULL_16), min(size, FULL_32), min(start, FULL_32))
    end = END.pack(END_SIGN, 0, 0, *short, 0)
    if count < FULL_16 and size < FULL_32 and start < FULL_32:
        return end
    versions = (UNIX << 8 | VERSION_64, VERSION_64, 0, 0)
    large = END_64.pack(END_64_SIGN, END_64.size - 12, *versions, count, count, size, start)
    return large + LOCATOR_64.pack(LOCATOR_64_SIGN, 0, start + size, 1) + end

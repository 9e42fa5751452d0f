"""Reading a ZIP file one entry at a time, as `zip_writer` and earlier versions of this program wrote it.

Nothing in it is trusted: a number that does not fit, or a part that is not where it should be, is Spoilt.
"""

import os
import struct
import zlib
from collections.abc import Iterator
from typing import BinaryIO

from coach.store.backups.zip_format import (
    CENTRAL,
    CENTRAL_SIGN,
    DEFLATED,
    ENCRYPTED,
    END,
    END_64,
    END_64_SIGN,
    END_SIGN,
    EXTRA_64,
    FULL_16,
    FULL_32,
    LOCAL,
    LOCAL_SIGN,
    LOCATOR_64,
    LOCATOR_64_SIGN,
    STORED,
    Entry,
)

_CHUNK = 64 * 1024


class Spoilt(Exception):
    """This is no ZIP file, or one that is damaged."""


def read_directory(file: BinaryIO) -> Iterator[Entry]:
    """Every entry in the order of the directory.

    Raises Spoilt also where the entries together are longer than the file: each file is there once.
    """
    count, start, size = _end(file)
    position, end, packed, length = start, start + size, 0, file.seek(0, os.SEEK_END)
    for _ in range(count):
        file.seek(position)
        numbers = _unpacked(CENTRAL, file, CENTRAL_SIGN)
        name_length, extra_length, note_length = numbers[9:12]
        entry = _entry(numbers, _exactly(file, name_length), _exactly(file, extra_length))
        position += CENTRAL.size + name_length + extra_length + note_length
        packed += entry.packed + LOCAL.size
        if position > end or packed > length:
            raise Spoilt
        yield entry
    if position != end:
        raise Spoilt


def read_data(file: BinaryIO, entry: Entry) -> bytes:
    """The content of a file, all at once; never more than its entry says. Raises Spoilt where that is not so."""
    return b"".join(read_chunks(file, entry))


def read_chunks(file: BinaryIO, entry: Entry) -> Iterator[bytes]:
    """As `read_data`, in parts."""
    file.seek(entry.offset)
    numbers = _unpacked(LOCAL, file, LOCAL_SIGN)
    if _exactly(file, numbers[8]) != entry.name.encode():
        raise Spoilt
    file.seek(numbers[9], os.SEEK_CUR)
    left, crc = entry.size, 0
    for data in _unpacked_data(file, entry):
        left, crc = left - len(data), zlib.crc32(data, crc)
        if left < 0:
            raise Spoilt
        yield data
    if left or crc != entry.crc:
        raise Spoilt


def _unpacked_data(file: BinaryIO, entry: Entry) -> Iterator[bytes]:
    left, unpacker = entry.packed, zlib.decompressobj(-zlib.MAX_WBITS)
    while left:
        chunk = _exactly(file, min(left, _CHUNK))
        left -= len(chunk)
        if entry.method == STORED:
            yield chunk
            continue
        try:
            while chunk:  # a little that unpacks to a lot is unpacked little by little
                yield unpacker.decompress(chunk, _CHUNK)
                chunk = unpacker.unconsumed_tail
        except zlib.error:
            raise Spoilt from None
    if entry.method == DEFLATED:
        yield unpacker.flush()
        if not unpacker.eof or unpacker.unused_data:
            raise Spoilt


def _entry(numbers: tuple[int, ...], name: bytes, extra: bytes) -> Entry:
    flags, method, crc, packed, size, offset = numbers[2], numbers[3], *numbers[6:9], numbers[15]
    if FULL_32 in (packed, size, offset):
        size, packed, offset = _large((size, packed, offset), extra)
    if flags & ENCRYPTED or method not in (STORED, DEFLATED):
        raise Spoilt
    try:
        return Entry(name.decode("utf-8"), method, crc, packed, size, offset, numbers[14] >> 16)
    except UnicodeDecodeError:
        raise Spoilt from None


def _large(places: tuple[int, int, int], extra: bytes) -> tuple[int, int, int]:
    """The numbers of an entry, with those that are too large for their places from its additional field."""
    while len(extra) >= 4:
        kind, length = struct.unpack_from("<2H", extra)
        if kind == EXTRA_64:
            field = extra[4 : 4 + length]
            large = iter(struct.unpack(f"<{len(field) // 8}Q", field[: len(field) // 8 * 8]))
            size, packed, offset = (next(large, FULL_32) if one == FULL_32 else one for one in places)
            return size, packed, offset
        extra = extra[4 + length :]
    return places


def _end(file: BinaryIO) -> tuple[int, int, int]:
    """How many entries the directory has, where it begins and how long it is."""
    length = file.seek(0, os.SEEK_END)
    at = length - END.size
    *_, count, size, start, note = _at(END, file, at, END_SIGN)
    if note:
        raise Spoilt
    if count == FULL_16 or FULL_32 in (size, start):
        at -= LOCATOR_64.size
        found = _at(LOCATOR_64, file, at, LOCATOR_64_SIGN)[1]
        if found != at - END_64.size:
            raise Spoilt
        at = found
        *_, count, size, start = _at(END_64, file, at, END_64_SIGN)
    if start + size != at:
        raise Spoilt
    return count, start, size


def _at(form: struct.Struct, file: BinaryIO, position: int, sign: bytes) -> tuple[int, ...]:
    if position < 0:
        raise Spoilt
    file.seek(position)
    return _unpacked(form, file, sign)


def _unpacked(form: struct.Struct, file: BinaryIO, sign: bytes) -> tuple[int, ...]:
    """The numbers of a block after its sign."""
    found, *numbers = form.unpack(_exactly(file, form.size))
    if found != sign:
        raise Spoilt
    return tuple(numbers)


def _exactly(file: BinaryIO, size: int) -> bytes:
    data = file.read(size)
    if len(data) != size:
        raise Spoilt
    return data

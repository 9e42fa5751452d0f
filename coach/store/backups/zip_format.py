"""The parts of a ZIP file that a backup uses. Source: PKWARE, APPNOTE.TXT 6.3, sections 4.3 and 4.5.

The standard library holds every name of a ZIP file in memory, half a gigabyte for a million files, and both its
reader and its writer do. So the directory is written and read here as what it is, a row of small blocks.
"""

import struct

from msgspec import Struct

LOCAL = struct.Struct("<4s5H3L2H")
CENTRAL = struct.Struct("<4s6H3L5H2L")
END = struct.Struct("<4s4H2LH")
END_64 = struct.Struct("<4sQ2H2L4Q")
LOCATOR_64 = struct.Struct("<4sLQL")
LOCAL_SIGN, CENTRAL_SIGN, END_SIGN = b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06"
END_64_SIGN, LOCATOR_64_SIGN = b"PK\x06\x06", b"PK\x06\x07"
EXTRA_64 = 1  # the field with the numbers that are too large for their places
FULL_16, FULL_32 = 0xFFFF, 0xFFFFFFFF  # in such a place: the number is in a larger one
ENCRYPTED, IN_UTF_8 = 0x1, 0x800
STORED, DEFLATED = 0, 8
PLAIN_VERSION, VERSION_64, UNIX = 20, 45, 3
DATE = (1 << 5) | 1  # 1 January 1980, the earliest that there is: the same files give the same backup
# No file of a client shrinks to a hundredth, so one that does is stored as it is, and one that claims to is refused:
# what a backup unpacks to is bounded by its own size. Ours.
MOST_TIMES = 100


class Entry(Struct, frozen=True):
    """What the directory says of one file. `attributes` are those of Unix, with the kind of file."""

    name: str
    method: int
    crc: int
    packed: int
    size: int
    offset: int
    attributes: int

"""The marks in a record file: a line after each append that says it is whole, with the SHA-256 of all above it.

Files of earlier versions have marks without a hash. They count in a file that has none with a hash before them, so
that a mark cut short by a crash is not taken for one of these. Line ends are hashed as a line feed each.
"""

import re
from typing import Literal

from msgspec import Struct

from coach.sha256 import sha256

Damage = Literal["", "mark", "content", "cut", "missing"]
LOST: tuple[Damage, ...] = ("content", "cut")
"""The damage with which nothing of a record may be used."""

_WORD = b"# whole"
_HASHED = _WORD + b" "
_MARK = re.compile(rb"# whole(?: ([0-9a-f]{64}))?")
_WHOLE_MARK_INSIDE = re.compile(rb"# whole [0-9a-f]{64}")
_ANSWER = re.compile(rb'^kind *= *"(?:answer|chosen)"', re.MULTILINE)
_MOST_ANSWERS = 3  # of one key press; with what it confirms and what is asked along with it, one as a rule
_BLANK = b" \t\r\n"
_MARK_BYTES = len(_HASHED) + 64
# Two bytes: any damage of one bit, and one at the border of two bytes. A forged mark is no concern of a hash.
_MOST_WRONG_BYTES = 2


class WholePart(Struct, frozen=True):
    """How much of a file is whole: the offset of its end in bytes, and what is damaged in it.

    `mark`: only the last mark is damaged, and the hash shows that all above it is as it was written. `content`: it is
    not as it was written. `cut`: what follows the last mark is of more than one key press, so it was confirmed, and
    the file was cut off later.
    """

    end: int
    damage: Damage = ""


def mark_of(content: bytes) -> bytes:
    """The mark that goes after this content, with its line end."""
    return _WORD + b" " + _hash_of(content) + b"\n"


def is_hashed(content: bytes) -> bool:
    """Whether a file has a mark with a hash, so that a change of it is seen."""
    return _HASHED in content and _WHOLE_MARK_INSIDE.search(content) is not None


def whole_part(content: bytes) -> WholePart | None:
    """What is whole of a file; None where it has no mark at all.

    Bytes after the last mark are the torn end of an append that was never confirmed, but for white space that an
    editor left, and for an end that holds a mark with a hash: no append that was cut short does, so it is damage.
    """
    here = len(content.rstrip(_BLANK))
    last = _ending_at(content, here)
    if last is not None:
        return WholePart(len(content), last)
    lines = re.finditer(rb"(?m)^# whole( [0-9a-f]{64})?\r?$", content)
    marks = [one for one in lines if one[1] is not None or not is_hashed(content[: one.start()])]
    if not marks:
        return None
    end = marks[-1].end()
    end = end + 1 if content[end : end + 1] == b"\n" else end
    if _WHOLE_MARK_INSIDE.search(content[end:]) is not None:
        return WholePart(len(content), "content")
    if _ending_at(content, len(content[:end].rstrip(_BLANK))):
        return WholePart(end, "content")
    return WholePart(end, "cut" if is_of_several_appends(content[end:]) else "")


def is_of_several_appends(torn: bytes) -> bool:
    """Whether the torn end of a record holds answers of more than one key press: only one is ever unconfirmed."""
    return len(_ANSWER.findall(torn)) > _MOST_ANSWERS


def with_sound_mark(content: bytes) -> bytes:
    """The content of a file of which only the last mark is damaged, with that mark as it was."""
    above = content[: content.rfind(b"\n", 0, len(content.rstrip(_BLANK))) + 1]
    return above + mark_of(above)


def _ending_at(content: bytes, end: int) -> Damage | None:
    """The damage of a file that ends with a mark at `end`; None where no mark, sound or damaged, ends there."""
    start = content.rfind(b"\n", 0, end) + 1
    line = content[start:end]
    found = _MARK.fullmatch(line)
    if found is not None and found[1] is None:
        return None if is_hashed(content[:start]) else ""
    if len(line) != _MARK_BYTES:
        return None
    right = mark_of(content[:start]).rstrip()
    if line == right:
        return ""
    if sum(one != other for one, other in zip(line, right, strict=True)) <= _MOST_WRONG_BYTES:
        return "mark"
    return None if found is None else "content"


def _hash_of(content: bytes) -> bytes:
    return sha256(content.replace(b"\r\n", b"\n")).hexdigest().encode()

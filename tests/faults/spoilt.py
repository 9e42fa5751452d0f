"""Spoils a file as accidents and ill will do: bytes, lines, values, nesting, and what terminals and parsers obey."""

import random
from collections.abc import Callable, Sequence

_GRAMMAR = b"[ ] [[ { } = . , \" ' \"\"\" ''' \\ # \n \r \0 \t [a.b.c]\n [[entry]]\n".split(b" ")
_VALUES = b'nan inf -inf 1e999 -0 0x_ 1979-05-27T07:32:00Z true -1 "" [] {}'.split(b" ")
_FORMATS = tuple(b"format = " + number + b"\n" for number in (b"2", b"-1", b"true", b"9" * 20))
_UNSEEN = tuple(mark.encode() for mark in "\u202e\u2066\u2028\ufeff\u017f\u0130\x9b\x1b\x07")
_NO_TEXT = (b"\xff\xfe", b"\xc3", b"\xed\xa0\x80")
_OBEYED = (
    b"\x1b[2J",
    b"\x1b]0;x\x07",
    b"[/b]",
    b"[@click=app.quit]x[/]",
    b"{0.__class__}",
    b"%s%n",
    b"=1+1",
    b"../../x",
)
_MUCH = (
    b"9" * 400,
    b"9" * 5000,
    b"0." + b"3" * 400,
    b"a." * 150,
    b"[" * 3000,
    b"{a=" * 500,
    b"x" * 9000,
    b"# whole\n",
)
TOKENS: Sequence[bytes] = (*_GRAMMAR, *_VALUES, *_FORMATS, *_UNSEEN, *_NO_TEXT, *_OBEYED, *_MUCH)
Spoil = Callable[[bytes, random.Random], bytes]


def _cut(data: bytes, chance: random.Random) -> bytes:
    return data[: chance.randrange(len(data) + 1)]


def _flip(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :]


def _token(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + chance.choice(TOKENS) + data[at + chance.choice((0, 0, 1, 8)) :]


def _drop(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data))
    return data[:at] + data[at + chance.randrange(1, 60) :]


def _again(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data))
    piece = data[at : at + chance.randrange(1, 400)]
    return data[:at] + piece * chance.choice((2, 3, 20)) + data[at:]


def _value(data: bytes, chance: random.Random) -> bytes:
    lines = data.split(b"\n")
    at = chance.randrange(len(lines))
    key, equals, _ = lines[at].partition(b"=")
    lines[at] = key + (equals or b"=") + b" " + chance.choice(TOKENS)
    return b"\n".join(lines)


def _swap(data: bytes, chance: random.Random) -> bytes:
    lines = data.split(b"\n")
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return b"\n".join(lines)


_WAYS: Sequence[Spoil] = (_cut, _flip, _flip, _token, _token, _drop, _again, _value, _value, _swap)


def spoilt(data: bytes, chance: random.Random) -> bytes:
    """The data with one to four things wrong with it; never without a byte."""
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        data = chance.choice(_WAYS)(data, chance) or b"\n"
    return data

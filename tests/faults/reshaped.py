"""Well-formed files with one to four wrong values in them: what gets past every parser, and means nothing."""

import io
import json
import random
import tomllib
import zipfile
import zlib
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time, timedelta, timezone
from typing import Any

import tomli_w

from coach.store.backups.backup import Member
from tests.store.packed import packed

# What the standard library raises for a damaged ZIP file, as found by fuzzing.
_SPOILT = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, KeyError,
           OverflowError, OSError)  # fmt: skip
_FAR_EAST, _FAR_WEST = timezone(timedelta(hours=23, minutes=59)), timezone(-timedelta(hours=23, minutes=59))
_DAYS = (date.min, date.max, date(2026, 11, 21), datetime.max.replace(tzinfo=_FAR_WEST),
         datetime.min.replace(tzinfo=_FAR_EAST), datetime(2026, 11, 21, 18, tzinfo=UTC), time(12))  # fmt: skip
_NUMBERS = (0, -1, 1, 2, 45, 90, 1000, 2**31, 2**63, 10**30, 10**400, 0.0, -0.0, 1e-320, 1e-9, 0.5, 1e9, 1e308,
            float("inf"), float("nan"))  # fmt: skip
_TEXTS = ("", " ", "x", "x" * 9000, "a\u202eb", "\x1b[2J", "\ufeff", "a\nb", "\u2028", "{", "}", "{}", "{0}",
          "{x!r:>9}", "{sets|set}", "{sets|set|sets|sets}", "{|}", "[/b]", "../x", "/", ".", "%s", "\U0001f4aa" * 40,
          "e\u0301" * 90, "\ud7ff", "\u0130", "yes", "right", "knotted", "12 kg")  # fmt: skip
_KEYS = ("", "format", "x", "a.b", "\x1b", "\u202e", "0", "name", "x" * 900, "__class__")
Place = tuple[Any, Any]  # a table or list, and the key or number in it


def reshaped(data: bytes, chance: random.Random) -> bytes:
    """TOML, JSON or ZIP with other values at some places; the data itself where it is none of them."""
    for read, write in _FORMS:
        try:
            tree = read(data)
            for _ in range(chance.choice((1, 1, 2, 4))):
                if places := _places(tree):
                    chance.choice(_WAYS)(*chance.choice(places), chance)
            return write(tree)
        except (*_SPOILT, RecursionError, TypeError, AttributeError):
            continue
    return data


def _places(tree: Any) -> list[Place]:
    inside = list(tree.items()) if isinstance(tree, dict) else list(enumerate(tree)) if isinstance(tree, list) else []
    return [place for key, value in inside for place in ((tree, key), *_places(value))]


def _other(holder: Any, key: Any, chance: random.Random) -> None:
    there = holder[key]
    alike = {str: _TEXTS, int: _NUMBERS, float: _NUMBERS}.get(type(there), _DAYS if isinstance(there, date) else ())
    strange: tuple[object, ...] = (*_NUMBERS, *_TEXTS, *_DAYS, True, [], {}, [[[]]], {"x": {"x": []}})
    holder[key] = chance.choice(alike or strange if chance.random() < 0.8 else strange)


def _near(holder: Any, key: Any, chance: random.Random) -> None:
    there = holder[key]
    if isinstance(there, int | float) and not isinstance(there, bool):
        holder[key] = chance.choice((there + 1, there - 1, -there, there * 10, there / 1000, there * 1.0001))
    elif isinstance(there, datetime | date):
        holder[key] = there + timedelta(days=chance.choice((-40000, -1, 1, 40000)))
    elif isinstance(there, str):
        at = chance.randrange(len(there) + 1)
        holder[key] = there[:at] + chance.choice(_TEXTS) + there[at + chance.choice((0, 1)) :]
    elif isinstance(there, list):
        chance.shuffle(there)


def _gone(holder: Any, key: Any, _: random.Random) -> None:
    del holder[key]


def _again(holder: Any, key: Any, chance: random.Random) -> None:
    if isinstance(holder, list):
        holder[key:key] = [holder[key]] * chance.choice((1, 1, 30))
    else:
        holder[chance.choice((*_KEYS, *holder))] = holder[key]


def _within(holder: Any, key: Any, chance: random.Random) -> None:
    for _ in range(chance.choice((1, 40))):
        holder[key] = chance.choice(([holder[key]], {"x": holder[key]}))


_WAYS: Sequence[Callable[[Any, Any, random.Random], None]] = (
    _other,
    _other,
    _near,
    _near,
    _near,
    _near,
    _gone,
    _again,
    _within,
)


def _from_zip(data: bytes) -> dict[str, str]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {entry.filename: archive.read(entry).decode() for entry in archive.infolist()[1:]}


def _to_zip(tree: dict[str, Any]) -> bytes:
    return packed(Member(name or "x", str(text).encode()) for name, text in tree.items())


_FORMS: tuple[tuple[Callable[[bytes], Any], Callable[[Any], bytes]], ...] = (
    (lambda data: tomllib.loads(data.decode()), lambda tree: tomli_w.dumps(tree).encode()),
    (json.loads, lambda tree: json.dumps(tree, default=str).encode()),
    (_from_zip, _to_zip),
)

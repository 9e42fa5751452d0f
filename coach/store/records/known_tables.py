"""The tables that mostly stand word for word in the next record as well: each text of them is read once.

Dose, limits and load are a third of a record, and stay as they are for many sessions. A record is then read without
them, and gets the objects that were made of the same text before. This was measured as a tenth of the time that a
history takes. A text is split only where each part is TOML by itself and says what it says within the whole; any
other is read as a whole.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct

from coach.frozen import Unfit
from coach.model.programme.session_file import SessionFile
from coach.model.record import Record
from coach.toml.fast_reader import read_fast

_FIRST, _NAMES = "dose", frozenset({"dose", "limits", "rungs"})
_EXERCISES = "exercises"
_MARK, _ENTRY = "\n# whole", "[[entry]]"
_STRINGS = ('"""', "'''")
_MOST = 512  # texts; ten years of a client have some dozens. Ours

_known: dict[str, Mapping[str, Any]] = {}


class _Split(Struct, frozen=True):
    """A record without these tables, and their texts: one, or of a programme one for each exercise."""

    rest: str
    tables: Sequence[str]


def read_with_known(text: str, kind: type[Record] | type[SessionFile]) -> Record | SessionFile | None:
    """A record of which all these tables are known; None where they are not, or where it is to be read as a whole."""
    split = _split(text, kind)
    known = [_known[one] for one in split.tables if one in _known] if split is not None else []
    if split is None or len(known) < len(split.tables):
        return None
    data = read_fast(split.rest)
    holders = _holders(data, kind) if data is not None and "format" in data else []
    if len(holders) != len(known):
        return None
    for holder, tables in zip(holders, known, strict=True):
        if not holder.keys().isdisjoint(_NAMES):
            return None
        holder.update(tables)
    try:
        return kind.of_clean(data)
    except (Unfit, AttributeError, TypeError):  # what has keys of an older format is changed before it is read
        return None


def keep_tables(text: str, found: Record | SessionFile) -> None:
    """Keep these tables of a record that was read as a whole."""
    split = _split(text, type(found))
    if split is None:
        return
    if len(_known) >= _MOST:
        _known.clear()
    holders = found.exercises if isinstance(found, SessionFile) else (found,)
    for tables, holder in zip(split.tables, holders, strict=False):
        alone: Any = read_fast(tables) or {}
        alone = alone.get(_EXERCISES) if alone.keys() == {_EXERCISES} else alone
        if isinstance(alone, dict) and alone and alone.keys() <= _NAMES:
            _known[tables] = {name: getattr(holder, name) for name in alone}


def _holders(data: dict[str, Any], kind: type[Record | SessionFile]) -> Sequence[dict[str, Any]]:
    """What these tables are in: the record itself, or each exercise of a session."""
    if kind is Record:
        return [data]
    each = data.get(_EXERCISES)
    return each if isinstance(each, list) and all(isinstance(one, dict) for one in each) else []


def _split(text: str, kind: type[Record | SessionFile]) -> _Split | None:
    """The text in its parts; None where it is not as the program writes it.

    The tables go from the first of them to the next exercise, or to the first mark, which only entries follow. No
    text of several lines may begin above, as these tables could stand in it.
    """
    inside = f"{_EXERCISES}." if kind is SessionFile else ""
    first, following = f"\n[{inside}{_FIRST}]\n", f"\n[[{_EXERCISES}]]\n" if inside else _MARK
    mark = text.find(_MARK)
    entries = text[text.find("\n", mark + 1) + 1 :]
    above, tables, at = list[str](), list[str](), 0
    while (start := text.find(first, at, mark)) >= 0:
        end = text.find(following, start, mark)
        end = mark if end < 0 else end
        above.append(text[at:start])
        tables.append(text[start:end])
        at = end
    head = "".join(above)
    if mark < 0 or not tables or at != mark or any(one in head for one in _STRINGS):
        return None
    return _Split(f"{head}\n{entries}", tables) if entries.lstrip("\n").startswith(_ENTRY) else None

"""The tables that mostly stand word for word in the next record as well: each text of them is read once.

Dose, limits and load are a third of a record, and stay as they are for many sessions. A record is then read without
them, and gets the objects that were made from the same text before, which saves a tenth of the work of reading a
history. A text is split only where each part is TOML by itself and says what it says within the whole; any other is
read as a whole.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import msgspec

from coach.frozen import Unfit
from coach.model.load_step import Rungs
from coach.model.prescription import Dose
from coach.model.programme.session_file import SessionFile
from coach.model.record import Record
from coach.toml.fast_reader import read_fast

_EXERCISES = "exercises"
_FIRST = "dose"  # the table that the program writes first of them
_MADE_BY: Mapping[str, Callable[[Any], Any]] = {
    "dose": Dose.of_clean,
    "limits": lambda moved: msgspec.convert(moved, dict[str, float]),
    "rungs": Rungs.of_clean,
}
_MARK, _ENTRY = "\n# whole", "[[entry]]"
_STRINGS = ('"""', "'''")
# Texts of all clients that a process reads; ten years of one have some dozens. The oldest goes first. Ours.
_MOST = 2048

_known: dict[str, Mapping[str, Any]] = {}


class _Split(msgspec.Struct, frozen=True):
    """A record without these tables, and their texts: one, or of a programme one for each exercise."""

    rest: str
    tables: Sequence[str]


def read_with_known(text: str, kind: type[Record] | type[SessionFile]) -> Record | SessionFile | None:
    """A record of which all these tables are known; None where they are not, or where it is to be read as a whole."""
    split = _split(text, kind)
    found = [_known.get(one) for one in split.tables] if split is not None else []
    known = [one for one in found if one is not None]
    if split is None or len(known) < len(found):
        return None
    data = read_fast(split.rest)
    holders = _holders(data, kind) if data is not None and "format" in data else []
    if len(holders) != len(known):
        return None
    for holder, tables in zip(holders, known, strict=True):
        if not holder.keys().isdisjoint(_MADE_BY):
            return None
        holder.update(tables)
    try:
        return kind.of_clean(data)
    except (Unfit, AttributeError, TypeError):  # what has keys of an older format is changed before it is read
        return None


def keep_tables(text: str, kind: type[Record] | type[SessionFile]) -> None:
    """Keep these tables of the text of a record that was read as a whole."""
    split = _split(text, kind)
    for tables in split.tables if split is not None else ():
        alone: Any = read_fast(tables) or {}
        alone = alone.get(_EXERCISES) if alone.keys() == {_EXERCISES} else alone
        if not isinstance(alone, dict) or not alone or not alone.keys() <= _MADE_BY.keys():
            continue
        try:
            made = {name: _MADE_BY[name](data) for name, data in alone.items()}
        except (Unfit, msgspec.ValidationError):
            continue
        if len(_known) >= _MOST:
            _known.pop(next(iter(_known)), None)
        _known[tables] = made


def _holders(data: dict[str, Any], kind: type[Record | SessionFile]) -> Sequence[dict[str, Any]]:
    """What these tables are in: the record itself, or each exercise of a session."""
    if kind is Record:
        return [data]
    each = data.get(_EXERCISES)
    return each if isinstance(each, list) and all(isinstance(one, dict) for one in each) else []


def _split(text: str, kind: type[Record | SessionFile]) -> _Split | None:
    """The text in its parts; None where it is not as the program writes it.

    The tables go from the first of them to the next exercise, or to the first mark, which only entries follow. Each
    exercise has its own below its header. No text of several lines may begin above: these tables could stand in it.
    """
    header = f"\n[[{_EXERCISES}]]\n" if kind is SessionFile else ""
    first, following = f"\n[{_EXERCISES}.{_FIRST}]\n" if header else f"\n[{_FIRST}]\n", header or _MARK
    mark = text.find(_MARK)
    entries = text[text.find("\n", mark + 1) + 1 :]
    above, tables, at = list[str](), list[str](), 0
    while (start := text.find(first, at, mark)) >= 0:
        end = text.find(following, start, mark)
        end = mark if end < 0 else end
        above.append(text[at:start])
        tables.append(text[start:end])
        at = end
    if mark < 0 or not tables or at != mark:
        return None
    if header and any(one.count(header) != 1 for one in above):
        return None
    head = "".join(above)
    if any(one in head for one in _STRINGS) or not entries.lstrip("\n").startswith(_ENTRY):
        return None
    return _Split(f"{head}\n{entries}", tables)
